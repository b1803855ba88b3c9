import { describe, expect, test } from 'vitest';
import { WireAt, WireModel } from '../../../src/core/wire/wire-model.ts';
import { MIDI_WIRE, type WireTraits } from '../../../src/core/wire/wire-traits.ts';

const WHOLE: WireTraits = { ...MIDI_WIRE, runningStatus: 'device' };

/** Places messages that are all ready at `readyMicros`; returns what each took. */
function placeAll(traits: WireTraits, readyMicros: number, messages: readonly (readonly [number, number])[]) {
  const model = new WireModel(traits);
  const at = new Float64Array(3);
  at[WireAt.ready] = readyMicros;
  const took = messages.map(([status, length]) => {
    const bytes = model.place(status, length, at);
    return { bytes, start: at[WireAt.start]!, end: at[WireAt.end]! };
  });
  return { model, took, end: took.at(-1)?.end };
}

const times = <T>(count: number, make: (i: number) => T): T[] =>
  Array.from({ length: count }, (_, i) => make(i));

describe('the MIDI 1.0 wire', () => {
  test('a byte takes 320 µs, a three-byte message 960 µs (MIDI 1.0, p. 1 and p. 9)', () => {
    const { took } = placeAll(WHOLE, 1000, [[0x90, 3]]);
    expect(took).toEqual([{ bytes: 3, start: 1000, end: 1960 }]);
  });

  test('sixteen notes at once end after 15.36 ms whole, 10.56 ms with running status (16·3 and 1 + 16·2 bytes)', () => {
    const chord = times(16, () => [0x90, 3] as const);
    expect(placeAll(WHOLE, 0, chord).end).toBe(15_360);
    expect(placeAll(MIDI_WIRE, 0, chord).end).toBe(10_560);
  });

  test('sixteen notes on sixteen channels cannot share a status byte: 15.36 ms', () => {
    const chord = times(16, (channel) => [0x90 + channel, 3] as const);
    expect(placeAll(MIDI_WIRE, 0, chord).end).toBe(15_360);
  });

  test('sixteen offs, then sixteen ons at one instant: 30.72 ms whole; 65 bytes, 20.80 ms with velocity-0 offs', () => {
    const offsThenOns = times(32, () => [0x90, 3] as const);
    expect(placeAll(WHOLE, 0, offsThenOns).end).toBe(30_720);
    expect(placeAll(MIDI_WIRE, 0, offsThenOns).end).toBe(20_800);
  });

  test('1,041 three-byte messages fill a second of the wire', () => {
    const { model, end } = placeAll(
      WHOLE,
      0,
      times(1041, () => [0x90, 3] as const),
    );
    expect(end).toBe(999_360);
    expect(model.bytes).toBe(3123);
  });

  test('38,400 baud, as boards use that cannot make 31,250: 260.4 µs a byte', () => {
    const { end } = placeAll({ ...WHOLE, baud: 38_400 }, 0, [[0x90, 3]]);
    expect(end).toBeCloseTo(781.25, 9);
  });

  test('a slow receiver gets its rest between messages', () => {
    const { took } = placeAll({ ...WHOLE, gapMicros: 500 }, 0, [[0x90, 3], [0x91, 3]]); // biome-ignore format: pairs
    expect(took.map((one) => one.start)).toEqual([0, 1460]);
  });
});

describe('running status (MIDI 1.0, p. 5 and A-1 to A-3)', () => {
  const bytesOf = (...statuses: number[]) =>
    placeAll(
      MIDI_WIRE,
      0,
      statuses.map((status) => [status, status < 0xf0 ? 3 : status < 0xf8 ? 2 : 1] as const),
    ).took.map((one) => one.bytes);

  test('the same status again is left out; another channel or kind is not', () => {
    expect(bytesOf(0x90, 0x90, 0x91, 0x91, 0x81, 0x91)).toEqual([3, 2, 3, 2, 3, 3]);
  });

  test('real-time bytes F8–FE leave it alone', () => {
    for (const realTime of [0xf8, 0xf9, 0xfa, 0xfb, 0xfc, 0xfd, 0xfe]) {
      expect(bytesOf(0x90, realTime, 0x90)).toEqual([3, 1, 2]);
    }
  });

  test('F0–F7 and System Reset clear it', () => {
    for (const system of [0xf0, 0xf1, 0xf2, 0xf3, 0xf4, 0xf5, 0xf6, 0xf7, 0xff]) {
      expect(bytesOf(0x90, system, 0x90)[2]).toBe(3);
    }
  });

  test('a system status is never left out itself', () => {
    expect(bytesOf(0xf0, 0xf0, 0xf6, 0xf6, 0xf8, 0xf8)).toEqual([2, 2, 2, 2, 1, 1]);
  });

  test('the status goes out again two seconds after it was last sent, so that a late receiver can join (p. A-2)', () => {
    const model = new WireModel(MIDI_WIRE);
    const at = new Float64Array(3);
    const bytes = [0, 1_999_999, 2_000_000, 3_999_999, 4_000_000].map((micros) => {
      at[WireAt.ready] = micros;
      return model.place(0x90, 3, at);
    });
    expect(bytes).toEqual([3, 2, 3, 2, 3]);
  });
});

describe('room and load', () => {
  test('the wire is free when the last byte has ended', () => {
    const { model } = placeAll(
      WHOLE,
      0,
      times(10, () => [0x90, 3] as const),
    );
    const register = new Float64Array(1);
    model.freeMicros(register);
    expect(register[0]).toBe(9600);
  });

  test('50 messages in 100 ms fill 48 % of the window', () => {
    const model = new WireModel(WHOLE);
    const at = new Float64Array(3);
    for (let i = 0; i < 50; i++) {
      at[WireAt.ready] = i * 2000;
      model.place(0x90, 3, at);
    }
    expect(model.load100ms.peak).toBeCloseTo(0.48, 12);
    expect(model.load1s.peak).toBeCloseTo(0.048, 12);
  });

  test('a message longer than the window fills it wholly', () => {
    const { model } = placeAll(WHOLE, 0, [[0xf0, 1000]]);
    expect(model.load100ms.peak).toBe(1);
    expect(model.load1s.peak).toBeCloseTo(0.32, 12);
  });

  test('held still, the wire takes nothing before the moment given', () => {
    const { model } = placeAll(WHOLE, 0, [[0xf0, 6]]);
    model.hold(new Float64Array([50_000]));
    const at = new Float64Array(3);
    model.place(0x90, 3, at);
    expect(at[WireAt.start]).toBe(50_000);
  });
});
