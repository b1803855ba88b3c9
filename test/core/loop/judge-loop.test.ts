import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { judgeLoop, patternHeard } from '../../../src/core/loop/judge-loop.ts';
import { lineRate } from '../../../src/core/loop/line-rate.ts';
import { loopCauses } from '../../../src/core/loop/loop-causes.ts';
import { loopDocument } from '../../../src/core/loop/loop-document.ts';
import type { LoopHearing } from '../../../src/core/loop/loop-hearing.ts';
import { type LoopPattern, loopPattern, plannedMicros } from '../../../src/core/loop/loop-pattern.ts';
import { plainMessages } from '../../../src/core/loop/plain-messages.ts';
import { renderLoop } from '../../../src/core/loop/render-loop.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { seeded } from '../../support/seeded.ts';

const PATTERN = loopPattern({ quiet: false, rounds: 1, whole: false });

interface Line {
  readonly baud?: number;
  readonly delayMicros?: number;
  /** Arrivals come late by up to so much. */
  readonly jitterMicros?: number;
  /** What becomes of each byte: none, one or several. */
  readonly becomes?: (byte: number, place: number) => readonly number[];
  /** How many bytes one delivery holds. */
  readonly chunk?: number;
}

/** As the sender does it: what follows without a rest is handed over ahead, so that the wire never runs dry. */
function handedOver(pattern: LoopPattern): Float64Array {
  let begin = 0;
  return plannedMicros(pattern, 320).map((micros, step) => {
    if (pattern.steps[step]!.restMicros > 0) begin = micros;
    return Math.max(begin, micros - 25_000);
  });
}

/** A line in figures: the pattern goes in as planned, and comes out at its rate. */
function through(pattern: LoopPattern, line: Line) {
  const { baud = 31_250, delayMicros = 0, jitterMicros = 0, becomes = (byte) => [byte], chunk = 1 } = line;
  const draw = seeded(5);
  const handedMicros = handedOver(pattern);
  const bytes: number[] = [];
  const micros: number[] = [];
  let free = 0;
  for (let place = 0; place < pattern.bytes.length; place += 1) {
    free = Math.max(free, handedMicros[pattern.stepOf[place]!]!) + 1e7 / baud;
    for (const byte of becomes(pattern.bytes[place]!, place)) {
      bytes.push(byte);
      micros.push(free + delayMicros + draw() * jitterMicros);
    }
  }
  const ends = bytes.map((_, n) => n + 1).filter((end) => end % chunk === 0 || end === bytes.length);
  const hearing: LoopHearing = {
    bytes: Uint8Array.from(bytes),
    chunkEnd: Uint32Array.from(ends),
    chunkMicros: Float64Array.from(ends, (end) => micros[end - 1]!),
    unkept: 0,
    isLost: false,
  };
  return judgeLoop(pattern, { handedMicros, heldMicros: 0, isLost: false }, hearing, MIDI_WIRE);
}

const codesOf = (line: Line) => loopCauses(through(PATTERN, line)).map(({ code }) => code);

describe('a sound line is found sound', () => {
  test('whatever its latency, a rate within one percent, jitter, or deliveries of several bytes', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 30_950, max: 31_550 }),
        fc.integer({ min: 0, max: 9000 }),
        fc.integer({ min: 0, max: 2000 }),
        fc.constantFrom(1, 4, 8),
        (baud, delayMicros, jitterMicros, chunk) => {
          const loop = through(PATTERN, { baud, delayMicros, jitterMicros, chunk });
          expect(loopCauses(loop)).toEqual([]);
          const { rate } = loop;
          expect(Math.abs(rate!.baud! - baud)).toBeLessThan(Math.max(3 * rate!.baudUncertainty!, 1));
          expect(rate!.baudUncertainty! / baud).toBeLessThan(0.002);
          if (chunk === 1) {
            const early = loop.latency!.p50Micros! - delayMicros - 3 * (1e7 / baud);
            expect(early).toBeGreaterThanOrEqual(-1);
            expect(early).toBeLessThan(jitterMicros + 1);
          }
        },
      ),
      { numRuns: 25 },
    );
  });

  test('an interface that leaves running status out and moves real-time bytes says the same', () => {
    const whole = loopPattern({ quiet: false, rounds: 1, whole: false });
    const { messages } = plainMessages(whole.bytes);
    const { realTime } = plainMessages(whole.bytes);
    const bytes = Uint8Array.from([...messages, ...realTime]);
    const hearing: LoopHearing = {
      bytes,
      chunkEnd: Uint32Array.of(bytes.length),
      chunkMicros: Float64Array.of(5e6),
      unkept: 0,
      isLost: false,
    };
    const handedMicros = plannedMicros(whole, 320);
    const loop = judgeLoop(whole, { handedMicros, heldMicros: 0, isLost: false }, hearing, MIDI_WIRE);
    expect(loop.isReEncoded).toBe(true);
    expect(loopCauses(loop)).toEqual([]);
  });
});

describe('each trouble has its name', () => {
  test.each<[string, Line]>([
    ['baud-off', { baud: 31_800 }],
    ['baud-off', { baud: 30_500 }],
    ['gaps', { baud: 28_400 }],
    ['bit-stuck', { becomes: (byte, place) => [place % 40 === 7 ? byte & ~4 : byte] }],
    ['bits-changed', { becomes: (byte, place) => [place % 90 === 7 ? byte ^ (1 << (place % 7)) : byte] }],
    ['bytes-lost', { becomes: (byte, place) => (place % 97 === 5 ? [] : [byte]) }],
    ['bytes-added', { becomes: (byte, place) => (place % 97 === 5 ? [byte, 0x11] : [byte]) }],
    ['others-send', { becomes: (byte, place) => (place % 97 === 5 ? [byte, 0xfe] : [byte]) }],
    ['comes-twice', { becomes: (byte) => [byte, byte] }],
    ['real-time-filtered', { becomes: (byte) => (byte === 0xfe ? [] : [byte]) }],
    ['slow', { delayMicros: 20_000 }],
    ['unsteady', { jitterMicros: 15_000 }],
    ['nothing-came', { becomes: () => [] }],
    ['not-the-pattern', { becomes: (_byte, place) => [(place * place * 31 + (place >> 3)) & 255] }],
  ])('%s', (code, line) => {
    expect(codesOf(line)[0]).toBe(code);
  });

  test('buffer-overrun: a run of bytes is gone, and only where they come without a pause', () => {
    const { steps, stepOf } = PATTERN;
    const becomes = (byte: number, place: number) => {
      const { section } = steps[stepOf[place]!]!;
      return section === 'full' && place % 200 < 40 ? [] : [byte];
    };
    expect(codesOf({ becomes })[0]).toBe('buffer-overrun');
  });

  test('long-sysex-cut: only there', () => {
    const { steps, stepOf } = PATTERN;
    let inside = 0;
    const becomes = (byte: number, place: number) => {
      inside = steps[stepOf[place]!]!.section === 'sysex' ? inside + 1 : 0;
      return inside > 300 && inside < 900 ? [] : [byte];
    };
    expect(codesOf({ becomes })[0]).toBe('long-sysex-cut');
  });

  test('bits are counted by which and which way', () => {
    const loop = through(PATTERN, { becomes: (byte, place) => [place % 50 === 7 ? byte | 8 : byte] });
    expect(loop.counted.bitsSet.map((count) => count > 0)).toEqual(
      [0, 1, 2, 3, 4, 5, 6, 7].map((bit) => bit === 3),
    );
    expect(loop.counted.bitsCleared).toEqual([0, 0, 0, 0, 0, 0, 0, 0]);
  });
});

test('an end that only hears finds which pattern it was, the rate, and how unsteady it is, but no latency', () => {
  const candidates = [false, true].map((quiet) => loopPattern({ quiet, rounds: 1, whole: false }));
  for (const pattern of candidates) {
    const { hearing } = through(pattern, { baud: 31_100, jitterMicros: 100 });
    expect(patternHeard(candidates, hearing.bytes)).toBe(pattern);
    // The other machine's clock has another beginning.
    const shifted = { ...hearing, chunkMicros: hearing.chunkMicros.map((micros) => micros + 7e8) };
    const loop = judgeLoop(pattern, undefined, shifted, MIDI_WIRE);
    expect(Math.abs(loop.rate!.baud! - 31_100)).toBeLessThan(3);
    expect(loop.latency).toMatchObject({ p50Micros: null, maxMicros: null });
    expect(loop.latency!.spreadMicros).toBeLessThan(110);
    expect(loopCauses(loop)).toEqual([]);
  }
});

/** How far the rate found is from the rate, in what it says its error is; rests, losses and late readers drawn from the seed. */
function rateError(byteMicros: number, seed: number) {
  const draw = seeded(seed);
  const stretches = Array.from({ length: 6 }, () => {
    const begin = draw() * 1e7;
    const places = Array.from({ length: 40 + Math.floor(draw() * 200) }, (_, n) => n);
    const late = () => (draw() < 0.05 ? draw() * 5000 : draw() * 40);
    return { places, micros: places.map((place) => begin + place * byteMicros + late()) };
  });
  const rate = lineRate(stretches)!;
  expect(rate.errorMicros / byteMicros).toBeLessThan(0.001);
  return Math.abs(rate.byteMicros - byteMicros) / rate.errorMicros;
}

test('lineRate: losses, rests and late readers move it as far as it says, and no further', () => {
  // Of normal errors 31.7 % are beyond one standard deviation, 4.6 % beyond two, one in 15,787 beyond four (any table of the
  // normal distribution). These have a longer tail: of 1,000 one is beyond four.
  const errors = Array.from({ length: 60 }, (_, seed) => rateError(300 + seed / 2, seed));
  const beyond = (most: number) => errors.filter((error) => error > most).length;
  expect(beyond(1)).toBeGreaterThan(60 * 0.15);
  expect(beyond(1)).toBeLessThan(60 * 0.45);
  expect(beyond(2)).toBeLessThan(60 * 0.1);
  expect(beyond(4)).toBe(0);
  expect(rateError(300, 785)).toBeLessThan(5); // the one
});

test('the page says first what is wrong, and fits its width', () => {
  const loop = through(PATTERN, { baud: 31_900, becomes: (byte, place) => (place % 97 === 5 ? [] : [byte]) });
  const document = loopDocument({ port: 'raw:/dev/midi1', from: 'raw:/dev/midi2' }, loop);
  const page = renderLoop(document, 70, 'only root may read it');
  expect(page[0]).toMatch(/^faulty: the far end’s baud rate is off by more than the 1 %/);
  expect(page.join(' ').replaceAll(/ +/g, ' ')).toContain('also bytes are lost');
  expect(page.filter((line) => line.length > 70)).toEqual([]);
});
