import { describe, expect, test } from 'vitest';
import { judgeLoop, type LoopJudgement } from '../../../src/core/loop/judge-loop.ts';
import { loopCauses } from '../../../src/core/loop/loop-causes.ts';
import { loopPattern, plannedMicros } from '../../../src/core/loop/loop-pattern.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';

const PATTERN = loopPattern({ quiet: true, rounds: 1, whole: false });
const SENT = PATTERN.bytes.length;

/** A line on which all came as it was sent, of whose times nothing is known. */
const SOUND: LoopJudgement = {
  ...judgeLoop(
    PATTERN,
    { handedMicros: plannedMicros(PATTERN, 320), heldMicros: 0, isLost: false },
    {
      bytes: PATTERN.bytes,
      chunkEnd: Uint32Array.of(SENT),
      chunkMicros: Float64Array.of(5e6),
      unkept: 0,
      isLost: false,
    },
    MIDI_WIRE,
  ),
  latency: undefined,
  queue: undefined,
  rate: undefined,
};
const said = (loop: LoopJudgement) => loopCauses(loop).map(({ code, evidence }) => `${code}: ${evidence}`);
const NO_BITS = [0, 0, 0, 0, 0, 0, 0, 0];
const UNDAMAGED = { lost: 0, changed: 0, added: 0, bitsSet: NO_BITS, bitsCleared: NO_BITS };

/** A line on which such bytes were lost, changed or came too, at places given. */
function damaged(
  counted: Partial<LoopJudgement['counted']>,
  faults: LoopJudgement['damage']['faults'] = [],
  more: Partial<LoopJudgement> = {},
): LoopJudgement {
  const lostIn = new Set(more.sections?.map(({ section }) => section));
  return {
    ...SOUND,
    counted: { ...UNDAMAGED, ...counted },
    damage: { ...SOUND.damage, faults },
    sections: SOUND.sections.map((one) => (lostIn.has(one.section) ? { ...one, lost: 1 } : one)),
    ...(more.isReEncoded ? { isReEncoded: true } : {}),
  };
}
const lostAt = (sent: number, ...places: number[]) =>
  places.map((place) => ({ kind: 'lost' as const, place, sent, heard: undefined }));
const addedAs = (...values: number[]) =>
  values.map((heard) => ({ kind: 'added' as const, place: 0, sent: undefined, heard }));
const inSections = (...names: LoopJudgement['sections'][number]['section'][]) =>
  ({ sections: names.map((section) => ({ section, bytes: 1, lost: 1, changed: 0, added: 0 })) }) as const;

describe('times: at its bound nobody is accused, beyond it the cause is named', () => {
  const rate = (ppm: number, uncertainty = 0, byteMicros = 320) => {
    const baud = 31_250 * (1 + ppm / 1e6);
    return { ...SOUND, rate: { byteMicros, errorMicros: 0, baud, baudUncertainty: uncertainty, ppm } };
  };
  const latency = (p50Micros: number | null, spreadMicros: number) => ({
    ...SOUND,
    latency: { count: 9, minMicros: 0, p50Micros, p95Micros: 0, maxMicros: 0, spreadMicros, wireMicros: 960 },
  });
  const queue = (beyondP95Micros: number) => ({
    ...SOUND,
    queue: { longestMicros: 0, beyondP50Micros: 0, beyondP95Micros, beyondMaxMicros: 0 },
  });
  // 1 % is allowed (MIDI 1.0, p. 1); what may still be within it, by what is uncertain, counts as within.
  test.each<[LoopJudgement, string[]]>([
    [rate(10_000), []],
    [rate(-10_000), []],
    [rate(10_001), ['baud-off: 31563 ± 0 baud, 1.00 % above 31250']],
    [rate(-20_000, 300), ['baud-off: 30625 ± 300 baud, 2.00 % below 31250']],
    [rate(-20_000, 307), []],
    [rate(50_000), ['baud-off: 32813 ± 0 baud, 5.00 % above 31250']],
    [rate(50_001), []],
    [rate(-50_000), ['baud-off: 29688 ± 0 baud, 5.00 % below 31250']],
    [rate(-50_000, 20_000), []],
    [rate(-50_001, 0, 400), ['gaps: a byte every 400 µs: 80 % of what the wire carries']],
    [{ ...SOUND, rate: { byteMicros: 1, errorMicros: 0, baud: null, baudUncertainty: null, ppm: null } }, []],
    [latency(15_960, 0), []],
    [latency(15_961, 0), ['slow: 15.0 ms beside its own time on the wire']],
    [latency(null, 10_000), []],
    [latency(null, 10_001), ['unsteady: by 10.0 ms']],
    [latency(40_960, 30_000), ['slow: 40.0 ms beside its own time on the wire', 'unsteady: by 30.0 ms']],
    [queue(10_000), []],
    [queue(10_001), ['queues: one byte in twenty waits 10.0 ms and more']],
    [SOUND, []],
  ])('%#', (loop, causes) => {
    expect(said(loop)).toEqual(causes);
  });
});

describe('bits', () => {
  const bits = (counts: Record<number, number>) => NO_BITS.map((_, bit) => counts[bit] ?? 0);
  test.each<[Partial<LoopJudgement['counted']>, string]>([
    [{ changed: 3, bitsSet: bits({ 2: 3 }) }, 'bits-changed: 3 bytes: bit 2 3×'],
    [{ changed: 4, bitsSet: bits({ 2: 4 }) }, 'bit-stuck: bit 2 in 4 of 4 changed bytes, always from 0 to 1'],
    [
      { changed: 4, bitsCleared: bits({ 7: 4 }) },
      'bit-stuck: bit 7 in 4 of 4 changed bytes, always from 1 to 0',
    ],
    [
      { changed: 9, bitsSet: bits({ 1: 4 }), bitsCleared: bits({ 1: 5, 6: 1 }) },
      'bit-stuck: bit 1 in 9 of 9 changed bytes',
    ],
    [
      { changed: 9, bitsSet: bits({ 1: 4, 0: 1 }), bitsCleared: bits({ 1: 4 }) },
      'bits-changed: 9 bytes: bit 0 1×, bit 1 8×',
    ],
    [{ changed: 1, bitsSet: bits({ 3: 1 }) }, 'bits-changed: 1 byte: bit 3 1×'],
  ])('%j', (counted, cause) => {
    expect(said(damaged(counted))).toEqual([cause]);
  });
});

describe('bytes', () => {
  const part = (lost: number) => `of ${SENT}, one in ${Math.round(SENT / lost)}`;
  test.each<[string, LoopJudgement, string[]]>([
    ['none', damaged({}), []],
    [
      'added: clock and Active Sensing of others',
      damaged({ added: 2 }, addedAs(0xf8, 0xfe)),
      ['others-send: 2 bytes too many'],
    ],
    ['added: others', damaged({ added: 2 }, addedAs(0xf8, 0xfa)), ['bytes-added: 2 bytes too many']],
    [
      'added: as much as was sent, but for a fifth',
      damaged({ added: Math.ceil(0.8 * SENT), lost: Math.floor(0.2 * SENT) }),
      [`comes-twice: ${Math.ceil(0.8 * SENT)} bytes more than the ${SENT} that were sent`],
    ],
    [
      'added: less than that',
      damaged({ added: Math.ceil(0.8 * SENT) - 1 }, addedAs(1)),
      [`bytes-added: ${Math.ceil(0.8 * SENT) - 1} bytes too many`],
    ],
    [
      'lost: real-time',
      damaged({ lost: 2 }, lostAt(0xfe, 5, 90), inSections('full')),
      [`real-time-filtered: 2 bytes ${part(2)}: FE`],
    ],
    [
      'lost: real-time of a line that is encoded anew',
      damaged({ lost: 2 }, lostAt(0xfe, 5, 90), { ...inSections('full'), isReEncoded: true }),
      [`bytes-lost: 2 bytes ${part(2)}, in full`],
    ],
    [
      'lost: F7 is no real-time',
      damaged({ lost: 1 }, lostAt(0xf7, 5), inSections('full')),
      [`bytes-lost: 1 byte ${part(1)}, in full`],
    ],
    [
      'lost: in SysEx alone',
      damaged({ lost: 9 }, lostAt(1, 1, 2), inSections('sysex')),
      [`long-sysex-cut: 9 bytes ${part(9)}`],
    ],
    [
      'lost: in runs of four',
      damaged({ lost: 8 }, lostAt(1, 1, 2, 3, 4, 50, 51, 52, 53), inSections('full')),
      [`buffer-overrun: 8 bytes ${part(8)}, in runs, and none where each message has time`],
    ],
    [
      'lost: in runs of eight places each',
      damaged({ lost: 8 }, lostAt(1, 1, 9, 17, 25), inSections('full', 'sysex')),
      [`buffer-overrun: 8 bytes ${part(8)}, in runs, and none where each message has time`],
    ],
    [
      'lost: farther apart',
      damaged({ lost: 8 }, lostAt(1, 1, 9, 17, 26), inSections('full')),
      [`bytes-lost: 8 bytes ${part(8)}, in full`],
    ],
    [
      'lost: too few for runs',
      damaged({ lost: 7 }, lostAt(1, 1, 2, 3, 4), inSections('full')),
      [`bytes-lost: 7 bytes ${part(7)}, in full`],
    ],
    [
      'lost: in runs, but where there is time as well',
      damaged({ lost: 8 }, lostAt(1, 1, 2, 3, 4), inSections('alone', 'full')),
      [`bytes-lost: 8 bytes ${part(8)}, in alone, full`],
    ],
    [
      'lost and added: each is named',
      damaged({ lost: 1, added: 1 }, [...lostAt(1, 3), ...addedAs(9)], inSections('full')),
      [`bytes-lost: 1 byte ${part(1)}, in full`, 'bytes-added: 1 byte too many'],
    ],
  ])('%s', (_what, loop, causes) => {
    expect(said(loop)).toEqual(causes);
  });
});

describe('a port, an input, a system', () => {
  const { hearing, sending } = SOUND;
  test.each<[string, LoopJudgement, string[]]>([
    [
      'the output went',
      { ...SOUND, sending: { ...sending!, isLost: true }, sentBytes: 1 },
      ['port-lost: after 1 byte'],
    ],
    [
      'the input went',
      { ...SOUND, hearing: { ...hearing, isLost: true } },
      [`input-lost: after ${SENT} bytes`],
    ],
    [
      'nothing came',
      { ...SOUND, hearing: { ...hearing, bytes: new Uint8Array(0) } },
      [`nothing-came: ${SENT} bytes sent, none heard`],
    ],
    [
      'nothing came of one byte',
      { ...SOUND, hearing: { ...hearing, bytes: new Uint8Array(0) }, sentBytes: 1 },
      ['nothing-came: 1 byte sent, none heard'],
    ],
    ['nothing was sent', { ...SOUND, hearing: { ...hearing, bytes: new Uint8Array(0) }, sentBytes: 0 }, []],
    [
      'another thing came',
      { ...SOUND, isThePattern: false },
      [`not-the-pattern: of ${SENT} bytes next to none fits`],
    ],
    ['no errors counted', { ...SOUND, lineErrors: { framing: 0, parity: 0, overrun: 0, breaks: 0 } }, []],
    [
      'one error counted',
      { ...SOUND, lineErrors: { framing: 0, parity: 0, overrun: 1, breaks: 0 } },
      ['framing: the system counted 0 framing, 0 parity, 1 overrun errors, 0 breaks'],
    ],
  ])('%s', (_what, loop, causes) => {
    expect(said(loop)).toEqual(causes);
  });
});
