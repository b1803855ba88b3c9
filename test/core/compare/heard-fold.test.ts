import { describe, expect, test } from 'vitest';
import { HeardFold } from '../../../src/core/compare/heard-fold.ts';
import { Fault, type FaultKind } from '../../../src/core/midi/stream-fault.ts';

type Step =
  | readonly [micros: number, status: number, data1: number, data2: number]
  | readonly [micros: number, fault: FaultKind]
  | readonly [micros: number, sysEx: Uint8Array, isCut: boolean];

function folded(...steps: readonly Step[]) {
  const fold = new HeardFold();
  for (const step of steps) {
    if (step.length === 4) fold.message(step[1], step[2], step[3], step[0]);
    else if (step.length === 3) fold.sysEx(step[1], step[2], step[0]);
    else fold.fault(step[1], step[0]);
  }
  return fold.music(true, 77, true);
}
const u8 = (...some: number[]) => Uint8Array.from(some);
const u32 = (...some: number[]) => Uint32Array.from(some);
const f64 = (...some: number[]) => Float64Array.from(some);

test('everything that came, each thing in its table: worked by hand', () => {
  const standstills = { fromMicros: f64(3), toMicros: f64(4) };
  const found = folded(
    [100, 0xc2, 5, 0],
    [1100, 0x92, 60, 64],
    [2100, 0xf8, 0, 0],
    [2200, u8(1, 2, 3), false],
    [3000, Fault.truncated],
    [9000, 0x93, 61, 65],
    [9900, 0x82, 60, 0],
    [10_900, 0xf3, 7, 0],
    [11_000, 0x93, 61, 66],
    [11_500, u8(4), true],
    [12_000, Fault.strayEnd],
    [12_100, Fault.truncated],
    [12_200, 0x93, 61, 0],
    [19_000, 0x83, 62, 0],
    [19_500, 0xb4, 7, 100],
  );
  expect(found).toEqual({
    hasTimes: true,
    beganMicros: 100,
    lastMicros: 19_500,
    isTorn: true,
    on: {
      count: 3,
      micros: f64(1100, 9000, 11_000),
      channel: u8(2, 3, 3),
      key: u8(60, 61, 61),
      velocity: u8(64, 65, 66),
      offMicros: f64(9900, 12_200, Number.NaN),
      message: u32(1, 3, 6),
      // Of channel messages: the song select before the last note is none.
      statusBefore: u8(0xc2, 0x92, 0x82),
    },
    surplusOffs: u32(9),
    state: { count: 2, micros: f64(100, 19_500), status: u8(0xc2, 0xb4), data1: u8(5, 7), data2: u8(0, 100) },
    sysEx: {
      count: 2,
      micros: f64(2200, 11_500),
      cut: u8(0, 1),
      message: u32(2, 7),
      bytes: u8(1, 2, 3, 4),
      end: u32(3, 4),
    },
    faults: {
      count: 3,
      micros: f64(3000, 12_000, 12_100),
      kind: u8(Fault.truncated, Fault.strayEnd, Fault.truncated),
      message: u32(3, 8, 8),
      byKind: [0, 0, 0, 2, 0, 1],
    },
    bursts: f64(100, 9000, 19_000),
    burstMessage: u32(0, 3, 9),
    standstills: { fromMicros: f64(), toMicros: f64() },
    messages: 11,
    bytes: 77,
    said: {
      status: u8(0xc2, 0x92, 0xf0, 0x93, 0x82, 0xf3, 0x93, 0xf0, 0x93, 0x83, 0xb4),
      data1: u8(5, 60, 0, 61, 60, 7, 61, 0, 61, 62, 7),
      data2: u8(0, 64, 0, 65, 0, 0, 66, 0, 0, 0, 100),
    },
  });
  expect(new HeardFold().music(false, 0, false, standstills)).toMatchObject({
    hasTimes: false,
    standstills,
    isTorn: false,
  });
});

describe('when a recording began and ended', () => {
  test('with a SysEx as well, which ends nothing', () => {
    expect(folded([50, u8(1), false], [60, 0x90, 60, 1])).toMatchObject({ beganMicros: 50, lastMicros: 60 });
    expect(folded([50, u8(1), false], [90, u8(1), false])).toMatchObject({ beganMicros: 50, lastMicros: 50 });
    expect(folded([50, 0xf8, 0, 0], [55, Fault.strayEnd]).beganMicros).toBeNaN();
    expect(folded([50, 0xf8, 0, 0], [55, Fault.strayEnd]).lastMicros).toBeNaN();
  });
});

test('a part in which nothing came has no last message; a status of the system sets nothing, whichever it is', () => {
  const fold = new HeardFold();
  fold.beganBefore(500);
  expect(fold.music(true, 0, false)).toMatchObject({ beganMicros: 500, lastMicros: Number.NaN });
  fold.message(0xf0, 123, 0, 600);
  fold.message(0x90, 60, 1, 700);
  expect(fold.music(true, 0, false)).toMatchObject({ state: { count: 0 }, on: { statusBefore: u8(0) } });
});

describe('a key that is struck more than once', () => {
  test('a thousand wait for their releases, others never get one', () => {
    const strikes = Array.from({ length: 1001 }, (_, n): Step => [n, 0x9f, 127, 1]);
    const found = folded(
      ...strikes,
      ...Array.from({ length: 1001 }, (_, n): Step => [5000 + n, 0x8f, 127, 0]),
    );
    expect([found.on.offMicros[0], found.on.offMicros[999], found.on.offMicros[1000]]).toEqual([
      5000,
      5999,
      Number.NaN,
    ]);
    expect([...found.surplusOffs]).toEqual([2001]);
  });

  test('is ended as a whole by what silences its channel; what sounded before the recording has no note of its own', () => {
    const fold = new HeardFold();
    fold.soundsAlready((2 << 7) | 61);
    for (const [n, key] of [0, 61, 61, 127].entries()) fold.message(0x92, key, 1, n);
    fold.message(0x91, 127, 1, 4);
    fold.message(0x93, 0, 1, 5);
    fold.message(0xb2, 123, 0, 9);
    fold.message(0x82, 61, 0, 10);
    const { on, surplusOffs } = fold.music(true, 0, false);
    expect([...on.offMicros]).toEqual([9, 9, 9, 9, Number.NaN, Number.NaN]);
    expect(surplusOffs.length).toBe(1);
  });

  test('the first release is that of the strike before the recording', () => {
    const fold = new HeardFold();
    fold.soundsAlready(61);
    fold.message(0x90, 61, 1, 0);
    fold.message(0x80, 61, 0, 1);
    fold.message(0x80, 61, 0, 2);
    const { on, surplusOffs } = fold.music(true, 0, false);
    expect([on.offMicros[0], surplusOffs.length]).toEqual([2, 0]);
  });
});

test('of faults without number 200,000 are kept, and all are counted', () => {
  const fold = new HeardFold();
  for (let n = 0; n < 200_001; n += 1) fold.fault(Fault.strayData, n);
  const { faults } = fold.music(true, 0, false);
  expect([faults.count, faults.kind.length, faults.message.length, faults.byKind[0]]).toEqual([
    200_000, 200_000, 200_000, 200_001,
  ]);
});
