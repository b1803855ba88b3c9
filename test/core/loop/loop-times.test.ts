import { describe, expect, test } from 'vitest';
import { judgeLoop } from '../../../src/core/loop/judge-loop.ts';
import { loopDocument } from '../../../src/core/loop/loop-document.ts';
import { bytesTaken, type LoopHearing } from '../../../src/core/loop/loop-hearing.ts';
import { patternOf, plannedMicros } from '../../../src/core/loop/loop-pattern.ts';
import type { LoopStep } from '../../../src/core/loop/loop-plan.ts';
import { arrivals, fullStretches, latencyOf, queueOf } from '../../../src/core/loop/loop-times.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';

/** A byte takes 320 µs (MIDI 1.0, p. 1). */
const BYTE = 320;
const STEPS: LoopStep[] = [
  { section: 'values', bytes: [0x90, 60, 1], restMicros: 0 },
  { section: 'full', bytes: [0x80, 60, 0], restMicros: 0 },
  { section: 'alone', bytes: [0xfe, 0xfe], restMicros: 40_000 },
  { section: 'alone', bytes: [0xf8, 0xf8], restMicros: 40_000 },
  { section: 'full', bytes: [0x90, 1, 1], restMicros: 1000 },
  { section: 'full', bytes: [0x80, 1, 1], restMicros: 0 },
];
const PATTERN = patternOf({ quiet: false, rounds: 1, whole: false }, STEPS);
const PLANNED = plannedMicros(PATTERN, BYTE);
const COUNT = PATTERN.bytes.length;
const ALL = Int32Array.from({ length: COUNT }, (_, n) => n);
const sending = { handedMicros: PLANNED, heldMicros: 0, isLost: false };

/** When each byte is there on a wire that is free, and so much (µs) later by its step. */
const there = (...late: readonly number[]) =>
  Float64Array.from(
    PATTERN.stepOf,
    (step, place) => PLANNED[step]! + (place - PATTERN.start[step]! + 1) * BYTE + late[step]!,
  );
const hearingOf = (micros: Float64Array): LoopHearing => ({
  bytes: PATTERN.bytes,
  chunkEnd: Uint32Array.from(ALL, (n) => n + 1),
  chunkMicros: micros,
  unkept: 0,
  isLost: false,
});

test('each step begins when the wire is free and it has rested', () => {
  expect([...PLANNED]).toEqual([0, 960, 41_920, 82_560, 84_200, 85_160]);
});

test('what the port took ends with the first step that it did not', () => {
  const taken = (...handed: number[]) =>
    bytesTaken({ ...sending, handedMicros: Float64Array.from(handed) }, PATTERN.start);
  expect(taken(0, 1, 2, 3, 4, 5)).toBe(COUNT);
  expect(taken(0, 1, 2, Number.NaN, 4, 5)).toBe(8);
  expect(taken(Number.NaN, 1, 2, 3, 4, 5)).toBe(0);
});

test('a byte was there at a time that is known only where a delivery ends with it', () => {
  const hearing = {
    bytes: new Uint8Array(4),
    chunkEnd: Uint32Array.of(0, 1, 3, 9),
    chunkMicros: Float64Array.of(5, 10, 30, 90),
    unkept: 0,
    isLost: false,
  };
  expect([...arrivals(Int32Array.of(0, -1, 1, 2, 3), hearing)]).toEqual([
    10,
    Number.NaN,
    Number.NaN,
    30,
    Number.NaN,
  ]);
});

describe('latency', () => {
  test('is that of what is sent alone, from its hand-over to its last byte', () => {
    expect(latencyOf(PATTERN, there(9000, 9000, 100, 300, 9000, 9000), sending, BYTE)).toEqual({
      count: 2,
      minMicros: 740,
      p50Micros: 940,
      p95Micros: 940,
      maxMicros: 940,
      spreadMicros: 200,
      wireMicros: 640,
    });
  });

  test('leaves out what was not handed over or did not come; none is left: nothing is known', () => {
    const lostFirst = there(0, 0, 100, 300, 0, 0);
    lostFirst[7] = Number.NaN;
    expect(latencyOf(PATTERN, lostFirst, sending, BYTE)).toMatchObject({
      count: 1,
      minMicros: 940,
      maxMicros: 940,
    });
    const handedMicros = PLANNED.slice();
    handedMicros[3] = Number.NaN;
    expect(latencyOf(PATTERN, there(0, 0, 100, 300, 0, 0), { ...sending, handedMicros }, BYTE)).toMatchObject(
      {
        count: 1,
        minMicros: 740,
      },
    );
    handedMicros[2] = Number.NaN;
    expect(latencyOf(PATTERN, there(0, 0, 0, 0, 0, 0), { ...sending, handedMicros }, BYTE)).toBeUndefined();
  });

  test('of another clock only the spread is known', () => {
    const shifted = there(0, 0, 100, 100, 0, 0).map((micros) => micros + 5e6);
    expect(latencyOf(PATTERN, shifted, undefined, BYTE)).toEqual({
      count: 2,
      minMicros: null,
      p50Micros: null,
      p95Micros: null,
      maxMicros: null,
      spreadMicros: 0,
      wireMicros: 640,
    });
  });
});

describe('queues', () => {
  const latency = latencyOf(PATTERN, there(0, 0, 100, 100, 0, 0), sending, BYTE);

  test('what waits beyond the wire’s own time and the latency at rest; what is alone does not count', () => {
    const arrived = there(100, 3100, 100, 100, 50, 1100);
    expect(queueOf(PATTERN, arrived, sending, latency, BYTE)).toEqual({
      longestMicros: 3 * BYTE + 3100,
      beyondP50Micros: 1000,
      beyondP95Micros: 3000,
      beyondMaxMicros: 3000,
    });
  });

  test('handed over at once, each waits for those before it', () => {
    const handedMicros = new Float64Array(STEPS.length);
    const ends = Float64Array.from(ALL, (n) => (n + 1) * BYTE + 100);
    expect(queueOf(PATTERN, ends, { ...sending, handedMicros }, latency, BYTE)).toEqual({
      longestMicros: COUNT * BYTE + 100,
      beyondP50Micros: 0,
      beyondP95Micros: 0,
      beyondMaxMicros: 0,
    });
    // What was not handed over any more does not count.
    handedMicros.fill(Number.NaN, 1);
    expect(queueOf(PATTERN, ends, { ...sending, handedMicros }, latency, BYTE)?.longestMicros).toBe(
      3 * BYTE + 100,
    );
    handedMicros.fill(Number.NaN);
    expect(queueOf(PATTERN, ends, { ...sending, handedMicros }, latency, BYTE)).toBeUndefined();
  });
});

describe('stretches of a full wire', () => {
  const arrived = there(0, 0, 0, 0, 0, 0);
  const stretches = (heardOf = ALL, handedMicros = PLANNED) =>
    fullStretches(PATTERN, heardOf, arrived, { ...sending, handedMicros }, BYTE).map(({ places }) =>
      places.join(' '),
    );

  test('end with a rest; what is sent alone is none', () => {
    expect(stretches()).toEqual(['0 1 2 3 4 5', '10 11 12 13 14 15']);
    const [first] = fullStretches(PATTERN, ALL, arrived, undefined, BYTE);
    expect(first).toEqual({ places: [0, 1, 2, 3, 4, 5], micros: [320, 640, 960, 1280, 1600, 1920] });
  });

  test('end where the sender was late, a byte was lost or one was added', () => {
    const late = PLANNED.slice();
    late[5] = PLANNED[5]! + 1;
    expect(stretches(ALL, late)).toEqual(['0 1 2 3 4 5', '10 11 12', '13 14 15']);
    const lost = Int32Array.from(ALL, (n) => (n === 4 ? -1 : n < 4 ? n : n - 1));
    expect(stretches(lost)).toEqual(['0 1 2 3', '4', '5', '10 11 12 13 14 15']);
    const added = Int32Array.from(ALL, (n) => (n < 4 ? n : n + 1));
    expect(stretches(added)).toEqual(['0 1 2 3', '4 5', '10 11 12 13 14 15']);
  });
});

test('with one direction alone there is no latency, no queue, and nothing that was held', () => {
  const loop = judgeLoop(PATTERN, undefined, hearingOf(there(0, 0, 0, 0, 0, 0)), MIDI_WIRE);
  expect([loop.queue, loop.sentBytes]).toEqual([undefined, COUNT]);
  const heard = loopDocument({ port: undefined, from: 'raw:in' }, loop);
  expect(heard).toMatchObject({
    port: null,
    from: 'raw:in',
    verdict: 'sound',
    heldMicros: null,
    queue: null,
    baud: null,
  });
  expect(heard.latency!.p50Micros).toBeNull();
  const sent = loopDocument(
    { port: 'raw:out', from: undefined },
    judgeLoop(
      PATTERN,
      { ...sending, heldMicros: 7.4 },
      { ...hearingOf(new Float64Array(0)), bytes: new Uint8Array(0) },
      MIDI_WIRE,
    ),
  );
  expect(sent).toMatchObject({
    verdict: 'sent',
    heldMicros: 7,
    sections: [],
    faults: [],
    bytes: { sent: COUNT, heard: 0, lost: 0 },
  });
  const gone = judgeLoop(
    PATTERN,
    { ...sending, isLost: true },
    hearingOf(there(0, 0, 0, 0, 0, 0)),
    MIDI_WIRE,
  );
  expect(loopDocument({ port: 'raw:out', from: undefined }, gone)).toMatchObject({
    verdict: 'faulty',
    causes: [{ code: 'port-lost', evidence: `after ${COUNT} bytes` }],
  });
});

test('damage by the section it is in, and every figure rounded as docs/loop-json.md has it', () => {
  const bytes = [...PATTERN.bytes];
  bytes[1]! ^= 1; // in `values`
  bytes[7]! ^= 2; // in `alone`
  bytes.splice(11, 1); // in `full`
  const hearing = {
    ...hearingOf(there(0, 0, 0, 0, 0, 0).slice(1)),
    bytes: Uint8Array.from(bytes),
    unkept: 7,
  };
  const loop = judgeLoop(PATTERN, sending, hearing, MIDI_WIRE);
  expect(loop.sections).toEqual([
    { section: 'values', bytes: 3, lost: 0, changed: 1, added: 0 },
    { section: 'alone', bytes: 4, lost: 0, changed: 1, added: 0 },
    { section: 'full', bytes: 9, lost: 1, changed: 0, added: 0 },
  ]);
  const figures = loopDocument(
    { port: 'a', from: 'b' },
    {
      ...loop,
      rate: { byteMicros: 319.893_61, errorMicros: 0, baud: 31_260.44, baudUncertainty: 3.26, ppm: 333.6 },
      latency: {
        ...loop.latency!,
        count: 2,
        minMicros: 1.4,
        p50Micros: 1.5,
        p95Micros: 2.6,
        maxMicros: 3.4,
        spreadMicros: 0.6,
        wireMicros: 640.4,
      },
      queue: { longestMicros: 9.5, beyondP50Micros: 1.4, beyondP95Micros: 2.5, beyondMaxMicros: 3.6 },
      lineErrors: undefined,
    },
  );
  expect(figures).toMatchObject({
    byteMicros: 319.894,
    baud: { baud: 31_260.4, uncertainty: 3.3, ppm: 334, uncertaintyPpm: 104 },
    latency: {
      count: 2,
      minMicros: 1,
      p50Micros: 2,
      p95Micros: 3,
      maxMicros: 3,
      spreadMicros: 1,
      wireMicros: 640,
    },
    queue: { longestMicros: 10, beyondP50Micros: 1, beyondP95Micros: 3, beyondMaxMicros: 4 },
    lineErrors: null,
    bytes: { sent: COUNT, heard: COUNT + 6, lost: 1, changed: 2, added: 7 },
  });
  expect(figures.faults).toEqual([
    { kind: 'changed', offset: 1, section: 'values', sent: 60, heard: 61 },
    { kind: 'changed', offset: 7, section: 'alone', sent: 0xfe, heard: 0xfc },
    { kind: 'lost', offset: 11, section: 'full', sent: 1, heard: null },
  ]);
});
