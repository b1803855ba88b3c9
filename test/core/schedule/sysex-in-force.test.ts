import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { catalogueSysEx, SysExRole } from '../../../src/core/schedule/sysex-catalogue.ts';
import { SysExMemory } from '../../../src/core/schedule/sysex-memory.ts';
import { hex, toHex } from '../../support/hex.ts';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';
import { VirtualRun } from '../../support/virtual-run.ts';

const S = 1_000_000;
/** Universal messages: MIDI 1.0, Table VIIa; 7D is the id kept for non-commercial use. */
const GM_ON = 'F0 7E 7F 09 01 F7';
const GM2_ON = 'F0 7E 7F 09 03 F7';
const volume = (msb: string) => `F0 7F 7F 04 01 00 ${msb} F7`;
const BALANCE = 'F0 7F 7F 04 02 00 10 F7';
const X = 'F0 7D 01 F7';
const Y = 'F0 7D 02 F7';

const at = (seconds: number, message: string): TimedBytes => [seconds * S, ...hex(message)];

const roleNames = Object.keys(SysExRole) as (keyof typeof SysExRole)[];
const rolesOf = (messages: readonly string[], allowed: boolean) =>
  [...catalogueSysEx(timelineOf(messages.map((message) => at(0, message))), allowed).role].map(
    (role) => roleNames.find((name) => SysExRole[name] === role)!,
  );

describe('what is to be done with each, without leave and with it', () => {
  test.each([
    ['General MIDI On', [GM_ON], ['reset'], ['reset']],
    ['master volume', [volume('40')], ['lasting'], ['lasting']],
    ['an inquiry', ['F0 7E 7F 06 01 F7'], ['momentary'], ['momentary']],
    ['a maker’s own', [X], ['held'], ['lasting']],
    ['a sample dump: it does not come again', ['F0 7E 00 01 00 F7'], ['held'], ['momentary']],
    ['7E that says nothing', ['F0 7E 00 F7'], ['held'], ['momentary']],
    ['7F that says nothing', ['F0 7F 00 F7'], ['held'], ['momentary']],
    [
      'a maker’s own in packets: nor do they',
      ['F0 7D 01', 'F7 02 F7'],
      ['held', 'held'],
      ['momentary', 'momentary'],
    ],
    [
      'master volume in packets',
      ['F0 7F 7F 04 01', 'F7 00 40 F7'],
      ['momentary', 'momentary'],
      ['momentary', 'momentary'],
    ],
    ['an escape', ['F7 F3 01'], ['held'], ['loose']],
    ['without its F7', ['F0 7D 01'], ['held'], ['loose']],
    ['a status byte inside', ['F0 7D F8 F7'], ['held'], ['loose']],
  ])('%s', (_, messages, held, allowed) => {
    expect([rolesOf(messages, false), rolesOf(messages, true)]).toEqual([held, allowed]);
  });

  test('device control of one kind for one device is a class; parameters that name their target, and a maker’s own, each their own', () => {
    const global = (value: string) => `F0 7F 7F 04 05 01 01 01 01 01 ${value} F7`;
    const messages = [
      ...[volume('40'), volume('41'), 'F0 7F 05 04 01 00 40 F7', BALANCE, 'F0 7F 7F 03 01 F7'],
      ...[global('00'), global('01'), X, Y, X],
    ];
    const { kind, content, kinds } = catalogueSysEx(timelineOf(messages.map((one) => at(0, one))), true);
    expect([...kind]).toEqual([1, 1, 2, 3, 0, 4, 5, 6, 7, 6]);
    expect(kinds).toBe(7);
    expect([...content]).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 8]);
  });
});

describe('brought back to rest', () => {
  // Full volume; balance, fine and coarse tuning in the middle. For the device that was meant.
  test.each([
    ['F0 7F 7F 04 01 11 22 F7', 'F0 7F 7F 04 01 7F 7F F7'],
    ['F0 7F 7F 04 02 11 22 F7', 'F0 7F 7F 04 02 00 40 F7'],
    ['F0 7F 7F 04 03 11 22 F7', 'F0 7F 7F 04 03 00 40 F7'],
    ['F0 7F 05 04 04 11 22 F7', 'F0 7F 05 04 04 00 40 F7'],
    ['F0 7F 7F 04 05 01 01 01 01 01 00 F7', undefined],
    ['F0 7F 7F 04 06 11 22 F7', undefined],
    ['F0 7F 7F 08 02 00 00 F7', undefined],
    [X, undefined],
  ])('%s by %s', (message, rest) => {
    const play = (first: TimedBytes) => {
      const columns = timelineOf([first, at(1, message), [9 * S, 0x80, 60, 0]]);
      const run = new VirtualRun(planOf(columns), { allowSysEx: true });
      run.send({ kind: 'play' }).to(2 * S);
      const from = run.sent.length;
      run.send({ kind: 'seek', micros: 0.5 * S }).to(2.2 * S);
      return run.sent.slice(from).flatMap(({ bytes }) => (bytes[0] === 0xf0 ? [toHex(bytes)] : []));
    };
    expect(play([0, 0x90, 60, 1])).toEqual(rest === undefined ? [] : [rest]);
    // Before the first note nobody heard what was there.
    expect(play([0, 0xb0, 7, 1])).toEqual([]);
  });
});

describe('told again, as it was in force', () => {
  /** SysEx that leaves at the start of play at a song time. */
  const told = (seconds: number, messages: readonly TimedBytes[]) => {
    const run = new VirtualRun(planOf(timelineOf([...messages, [9 * S, 0x90, 60, 1]])), { allowSysEx: true });
    run.send({ kind: 'seek', micros: seconds * S }).send({ kind: 'play' });
    run.to(0.4 * S);
    return run.sent.flatMap(({ bytes }) => (bytes[0] === 0xf0 ? [toHex(bytes)] : []));
  };

  test('the last of each class, in the order they came', () => {
    const song = [at(0, X), at(1, volume('01')), at(2, Y), at(3, BALANCE), at(4, volume('02')), at(5, X)];
    expect(told(6, song)).toEqual([Y, BALANCE, volume('02'), X]);
    expect(told(2.5, song)).toEqual([X, volume('01'), Y]);
  });

  test('a reset puts out of force what came before it', () => {
    expect(told(6, [at(0, volume('01')), at(1, GM_ON), at(2, BALANCE), at(3, GM2_ON), at(4, Y)])).toEqual([
      GM2_ON,
      Y,
    ]);
    expect(told(2.5, [at(0, volume('01')), at(1, GM_ON), at(2, BALANCE)])).toEqual([GM_ON, BALANCE]);
  });

  test('the same reset is not given twice, another is', () => {
    const seekBehind = (second: string) => {
      const columns = timelineOf([at(0, GM_ON), [1, 0x90, 60, 1], at(2, second), [9 * S, 0x80, 60, 0]]);
      const run = new VirtualRun(planOf(columns));
      run.send({ kind: 'play' }).to(3 * S);
      const from = run.sent.length;
      run.send({ kind: 'seek', micros: S }).to(3.2 * S);
      return run.sent.slice(from).flatMap(({ bytes }) => (bytes[0] === 0xf0 ? [toHex(bytes)] : []));
    };
    expect([seekBehind(GM_ON), seekBehind(GM2_ON)]).toEqual([[], [GM_ON]]);
  });
});

/** What is in force, told with a list: the last reset, and behind it the last of each class in order. */
class Account {
  reset = -1;
  list: number[] = [];
}

test('what is missing, what is too much and which reset rests: as a plain list has it', () => {
  const messages = [
    ...[volume('01'), volume('02'), volume('01'), BALANCE, X, Y, X],
    ...[GM_ON, GM2_ON, GM_ON, 'F0 7E 7F 06 01 F7'],
  ];
  const catalogue = catalogueSysEx(
    timelineOf([[0, 0x90, 60, 1], ...messages.map((message) => at(1, message))]),
    true,
  );
  const classOf = (row: number) => catalogue.kind[row]!;
  const step = fc.tuple(
    fc.nat(1),
    fc.oneof({ weight: 9, arbitrary: fc.nat(messages.length - 1) }, fc.constant('copy')),
  );
  fc.assert(
    fc.property(fc.array(step, { maxLength: 20, size: 'max' }), (steps) => {
      const memories = [new SysExMemory(catalogue), new SysExMemory(catalogue)] as const;
      const accounts = [new Account(), new Account()] as const;
      for (const [which, what] of steps) {
        const account = accounts[which]!;
        if (typeof what === 'string') {
          memories[which]!.copyFrom(memories[1 - which]!);
          Object.assign(account, { reset: accounts[1 - which]!.reset, list: [...accounts[1 - which]!.list] });
          continue;
        }
        const isReset = messages[what] === GM_ON || messages[what] === GM2_ON;
        expect(memories[which]!.fold(what)).toBe(isReset);
        if (isReset) Object.assign(account, { reset: what, list: [] });
        else if (classOf(what) > 0)
          account.list = [...account.list.filter((row) => classOf(row) !== classOf(what)), what];
      }
      const [song, sent] = memories;
      const [wants, has] = accounts;
      const sameReset = wants.reset < 0 || messages[wants.reset] === messages[has.reset];
      expect(song.sameReset(sent)).toBe(sameReset);
      const surplus: number[] = [];
      for (let kind = song.nextSurplus(sent, 0); kind > 0; kind = song.nextSurplus(sent, kind)) {
        surplus.push(kind);
        sent.clear(kind);
        expect(song.nextSurplus(sent, kind - 1)).not.toBe(kind);
      }
      const tooMuch = has.list
        .map(classOf)
        .filter((kind) => !wants.list.some((row) => classOf(row) === kind));
      // A maker's own has no rest that anybody knows.
      const withRest = [classOf(0), classOf(3)];
      expect(surplus).toEqual(withRest.filter((kind) => tooMuch.includes(kind)));
      const missing: number[] = [];
      for (let row = song.nextMissing(sent); row >= 0; row = song.nextMissing(sent)) {
        missing.push(row);
        sent.fold(row);
      }
      expect(missing).toEqual(
        wants.list.filter((row) => !has.list.some((other) => messages[other] === messages[row])),
      );
    }),
    { numRuns: 300 },
  );
});
