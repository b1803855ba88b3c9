import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { CarriedState } from '../../../src/core/compare/carried-state.ts';
import { HeardFold } from '../../../src/core/compare/heard-fold.ts';
import { bytesOfSysEx, type HeardMusic } from '../../../src/core/compare/heard-music.ts';

type Message = readonly [status: number, data1: number, data2: number];

/** What one begins with who comes behind those messages, a millisecond apart, and what he then hears. */
function begun(before: readonly Message[], then: readonly Message[] = []): HeardMusic {
  const carried = new CarriedState();
  for (const [n, [status, data1, data2]] of before.entries()) carried.message(status, data1, data2, 1000 * n);
  const fold = new HeardFold();
  carried.begin(fold);
  for (const [n, [status, data1, data2]] of then.entries())
    fold.message(status, data1, data2, 1000 * (before.length + n));
  return fold.music(true, 0, false);
}

/** What is set, in the order in which it is told. */
const set = ({ state }: HeardMusic) =>
  [...state.status].map((status, n) => [status, state.data1[n], state.data2[n], state.micros[n]! / 1000]);
const surplus = (before: readonly Message[], then: readonly Message[]) =>
  begun(before, then).surplusOffs.length;

describe('what is set as a part begins', () => {
  test('is told with its time: of each controller the last, what was set last being told last', () => {
    const messages: Message[] = [
      [0xb0, 7, 100],
      [0xb0, 10, 64],
      [0xb1, 7, 90],
      [0xb0, 7, 80],
    ];
    expect(set(begun(messages))).toEqual([
      [0xb0, 10, 64, 1],
      [0xb1, 7, 90, 2],
      [0xb0, 7, 80, 3],
    ]);
  });

  test('a program, a bend and a pressure of a channel; the pressure of each key by itself', () => {
    const messages: Message[] = [
      [0xc0, 5, 0],
      [0xe0, 1, 64],
      [0xd0, 9, 0],
      [0xa0, 60, 1],
      [0xa0, 61, 2],
      [0xc0, 6, 0],
      [0xe0, 2, 65],
      [0xd0, 8, 0],
      [0xa0, 60, 3],
    ];
    expect(set(begun(messages))).toEqual([
      [0xa0, 61, 2, 4],
      [0xc0, 6, 0, 5],
      [0xe0, 2, 65, 6],
      [0xd0, 8, 0, 7],
      [0xa0, 60, 3, 8],
    ]);
  });

  test('notes, and messages of the system, set nothing', () => {
    const messages: Message[] = [
      [0x90, 60, 64],
      [0xf0, 1, 0],
      [0xf3, 1, 0],
      [0x80, 60, 0],
      [0xf6, 0, 0],
    ];
    expect(set(begun(messages))).toEqual([]);
  });
});

describe('a key that sounds as a part begins', () => {
  const ON: Message = [0x93, 60, 64];
  const OFF: Message = [0x83, 60, 0];
  const ZERO: Message = [0x93, 60, 0];

  test('has a release to come for each strike that was not let go; more are surplus', () => {
    expect(surplus([ON], [OFF])).toBe(0);
    expect(surplus([ON, ON, OFF], [OFF, OFF])).toBe(1);
    expect(surplus([ON, ON, ZERO, ZERO], [OFF])).toBe(1);
    expect(surplus([OFF, OFF, ON], [ZERO, ZERO])).toBe(1);
    expect(
      surplus(
        [ON],
        [
          [0x83, 61, 0],
          [0x84, 60, 0],
        ],
      ),
    ).toBe(2);
    expect(surplus([[0x9f, 127, 1]], [[0x8f, 127, 0]])).toBe(0);
  });

  test('up to a thousand strikes', () => {
    const many = (count: number, one: Message) => new Array<Message>(count).fill(one);
    expect(surplus(many(1000, ON), many(1001, OFF))).toBe(1);
    expect(surplus(many(1002, ON), many(1001, OFF))).toBe(1);
  });

  test('is ended by what silences its channel (MIDI 1.0, p. 20–26), and by no other message', () => {
    const neighbours: Message[] = [[0x92, 127, 1], [0x94, 0, 1], [0x93, 0, 1], [0x93, 127, 1], ON];
    const offs = neighbours.map(([status, key]): Message => [status - 16, key, 0]);
    for (const mode of [120, 123, 124, 125, 126, 127])
      expect(surplus([...neighbours, [0xb3, mode, 0]], offs)).toBe(3);
    for (const other of [119, 121, 122]) expect(surplus([...neighbours, [0xb3, other, 0]], offs)).toBe(0);
    expect(surplus([...neighbours, [0xa3, 120, 0], [0xe3, 123, 0]], offs)).toBe(0);
  });
});

describe('SysEx', () => {
  const behind = (...steps: readonly ('note' | 'release' | 'forget' | number)[]) => {
    const carried = new CarriedState();
    const content = new Uint8Array(1);
    for (const [n, step] of steps.entries()) {
      if (step === 'note') carried.message(0x90, 60, 64, n);
      else if (step === 'release') carried.message(0x80, 60, 64, n);
      else if (step === 'forget') carried.forgetSysEx();
      else {
        // The bytes are the sender's own again, as soon as they are told.
        content[0] = step;
        carried.sysEx(content, true, n);
      }
    }
    const fold = new HeardFold();
    carried.begin(fold);
    return fold.music(true, 0, false).sysEx;
  };

  test('behind the last note belongs to what follows; that it was cut was told where it came', () => {
    const sysEx = behind(1, 'note', 2, 'release', 3);
    expect([sysEx.count, [...sysEx.micros], [...sysEx.cut]]).toEqual([2, [2, 4], [0, 0]]);
    expect([0, 1].map((n) => bytesOfSysEx(sysEx, n)[0])).toEqual([2, 3]);
    expect(behind(1, 2, 'forget', 3).count).toBe(1);
  });

  test('no more than 64', () => {
    expect(behind(...new Array<number>(64).fill(1)).count).toBe(64);
    expect(behind(...new Array<number>(66).fill(1)).count).toBe(64);
  });
});

test('the recording began with the first message of all, whatever it was; a fault is none', () => {
  expect(begun([], [[0x90, 60, 1]]).beganMicros).toBe(0);
  const carried = new CarriedState();
  const began = () => {
    const fold = new HeardFold();
    carried.begin(fold);
    return fold.music(true, 0, false).beganMicros;
  };
  carried.fault(0, 3);
  expect(began()).toBeNaN();
  carried.sysEx(Uint8Array.of(1), false, 5);
  carried.message(0x90, 60, 1, 7);
  carried.sysEx(Uint8Array.of(1), false, 9);
  carried.forgetSysEx();
  expect(began()).toBe(5);
});

test('whoever begins anywhere hears as it is to be heard in the whole', () => {
  const message = fc.oneof(
    fc.tuple(fc.constantFrom(0x90, 0x80, 0x91, 0x81), fc.constantFrom(60, 61), fc.constantFrom(0, 0, 64)),
    fc.tuple(fc.constantFrom(0xb0, 0xb1), fc.constantFrom(7, 119, 120, 121, 122, 123, 127), fc.nat(127)),
    fc.tuple(fc.constantFrom(0xc0, 0xd1, 0xe0, 0xa0), fc.constantFrom(1, 2), fc.nat(127)),
  );
  fc.assert(
    fc.property(
      fc.array(message, { maxLength: 40 }),
      fc.array(message, { maxLength: 40 }),
      (before, then) => {
        const part = begun(before, then);
        const fold = new HeardFold();
        for (const [n, [status, data1, data2]] of [...before, ...then].entries())
          fold.message(status, data1, data2, 1000 * n);
        const whole = fold.music(true, 0, false);
        const from = 1000 * before.length;
        expect([...part.on.offMicros]).toEqual([
          ...whole.on.offMicros.filter((_, n) => whole.on.micros[n]! >= from),
        ]);
        expect(part.surplusOffs.length).toBe(whole.surplusOffs.filter((at) => at >= before.length).length);
        const last = (heard: HeardMusic) =>
          new Map(
            set(heard).map(([status, ...rest]) => [status! >= 0xc0 ? status : `${status} ${rest[0]}`, rest]),
          );
        expect(last(part)).toEqual(last(whole));
      },
    ),
  );
});
