import fc from 'fast-check';
import { expect, test } from 'vitest';
import { HeardFold } from '../../../src/core/compare/heard-fold.ts';
import { bytesOfSysEx, type HeardMusic } from '../../../src/core/compare/heard-music.ts';
import { heardPart } from '../../../src/core/compare/heard-part.ts';
import { Fault } from '../../../src/core/midi/stream-fault.ts';

type Event = 'on' | 'off' | 'set' | 'fault' | 'sysex' | 'cut';
const APART = 10_000;

/** Each ten milliseconds behind the one before, so that each is a burst of its own, but for faults and SysEx. */
function folded(events: readonly Event[]): HeardMusic {
  const fold = new HeardFold();
  for (const [n, event] of events.entries()) {
    const at = n * APART;
    if (event === 'on') fold.message(0x91, 60 + (n % 3), 1 + (n % 100), at);
    else if (event === 'off') fold.message(0x81, 60 + (n % 3), n % 100, at);
    else if (event === 'set') fold.message(0xb1, 7, n % 100, at);
    else if (event === 'fault') fold.fault(n % 2 === 0 ? Fault.strayData : Fault.truncated, at);
    else
      fold.sysEx(
        Uint8Array.from({ length: n % 5 }, () => n % 100),
        event === 'cut',
        at,
      );
  }
  return fold.music(true, 30 * events.length, true);
}
/** All columns of a table one behind the other. */
const joined = (a: ArrayLike<number>, b: ArrayLike<number>) => [...Array.from(a), ...Array.from(b)];
const contents = ({ sysEx }: HeardMusic) =>
  Array.from(
    { length: sysEx.count },
    (_, n) => `${sysEx.micros[n]} ${sysEx.cut[n]} ${sysEx.message[n]} ${bytesOfSysEx(sysEx, n)}`,
  );

test('two parts, cut where a note begins, are the whole: everything is in one of them, and in no other', () => {
  const event = fc.constantFrom<Event>('on', 'on', 'off', 'set', 'fault', 'sysex', 'cut');
  fc.assert(
    fc.property(fc.array(event, { minLength: 2, maxLength: 40 }), fc.nat(), (events, chance) => {
      const whole = folded(events);
      fc.pre(whole.on.count > 1);
      const note = 1 + (chance % (whole.on.count - 1));
      const cut = whole.on.micros[note]!;
      const first = heardPart(whole, 0, note, whole.beganMicros, cut);
      const second = heardPart(whole, note, whole.on.count, cut, Number.POSITIVE_INFINITY);
      for (const column of [
        'micros',
        'channel',
        'key',
        'velocity',
        'offMicros',
        'message',
        'statusBefore',
      ] as const)
        expect(joined(first.on[column], second.on[column])).toEqual([...whole.on[column]]);
      expect([first.on.count, second.on.count]).toEqual([note, whole.on.count - note]);
      for (const column of ['status', 'data1', 'data2'] as const)
        expect(joined(first.said[column], second.said[column])).toEqual([...whole.said[column]]);
      for (const column of ['micros', 'kind', 'message'] as const)
        expect(joined(first.faults[column], second.faults[column])).toEqual([...whole.faults[column]]);
      expect(first.faults.byKind.map((count, kind) => count + second.faults.byKind[kind]!)).toEqual([
        ...whole.faults.byKind,
      ]);
      expect([first.faults.count, second.faults.count]).toEqual([
        first.faults.kind.length,
        second.faults.kind.length,
      ]);
      expect([...contents(first), ...contents(second)]).toEqual(contents(whole));
      expect(joined(first.surplusOffs, second.surplusOffs)).toEqual([...whole.surplusOffs]);
      expect(joined(first.bursts, second.bursts)).toEqual([...whole.bursts]);
      expect(joined(first.burstMessage, second.burstMessage)).toEqual([...whole.burstMessage]);
      expect(first.messages + second.messages).toBe(whole.messages);
      expect(Math.abs(first.bytes + second.bytes - whole.bytes)).toBeLessThanOrEqual(1);
      // What was set before stays set.
      expect(first.state.count).toBe(whole.state.micros.filter((at) => at < cut).length);
      expect(second.state.count).toBe(whole.state.count);
      expect([first.isTorn, second.isTorn, second.beganMicros]).toEqual([true, false, cut]);
      expect(second.lastMicros).toBe(whole.lastMicros);
      const last = [
        ...whole.on.micros.subarray(0, note),
        ...whole.on.offMicros.subarray(0, note).filter((at) => at < cut),
      ];
      expect(first.lastMicros).toBe(Math.max(...last));
    }),
    { numRuns: 60 },
  );
});

test('a part that begins with what is set before its first note has that, and not what is before', () => {
  const whole = folded(['on', 'off', 'set', 'set', 'on', 'off']);
  const part = heardPart(whole, 1, 2, 2 * APART, Number.POSITIVE_INFINITY);
  expect([part.messages, [...part.said.status], part.bytes]).toEqual([4, [0xb1, 0xb1, 0x91, 0x81], 120]);
  // Cut between both settings it begins with the second.
  expect(heardPart(whole, 1, 2, 3 * APART, Number.POSITIVE_INFINITY).messages).toBe(3);
});
