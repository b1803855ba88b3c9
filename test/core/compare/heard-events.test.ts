import { describe, expect, test } from 'vitest';
import { HeardEvents } from '../../../src/core/compare/heard-events.ts';

/** A note, SysEx of so many bytes, or a fault. */
type Event = 'note' | number | 'fault';

function events(...some: readonly Event[]): HeardEvents {
  const all = new HeardEvents();
  for (const [n, one] of some.entries()) {
    if (one === 'note') all.message(0x90, 60 + n, 64, 100 * n);
    else if (one === 'fault') all.fault(3, 100 * n);
    else all.sysEx(new Uint8Array(one).fill(n), one === 2, 100 * n);
  }
  return all;
}

function replayed(all: HeardEvents, from: number, to: number): string[] {
  const lines: string[] = [];
  all.replay(from, to, {
    message: (status, data1, data2, micros) => lines.push(`${micros} ${status} ${data1} ${data2}`),
    sysEx: (bytes, isCut, micros) => lines.push(`${micros} sysex ${bytes.join()}${isCut ? ' cut' : ''}`),
    fault: (kind, micros) => lines.push(`${micros} fault ${kind}`),
  });
  return lines;
}

const ALL: readonly Event[] = ['note', 3, 'fault', 2, 'note', 0, 4, 'note'];
const LINES = [
  '0 144 60 64',
  '100 sysex 1,1,1',
  '200 fault 3',
  '300 sysex 3,3 cut',
  '400 144 64 64',
  '500 sysex ',
  '600 sysex 6,6,6,6',
  '700 144 67 64',
];

describe('what came is told again', () => {
  test('from any place to any other, as it was', () => {
    const all = events(...ALL);
    for (let from = 0; from <= ALL.length; from += 1)
      for (let to = from; to <= ALL.length; to += 1)
        expect(replayed(all, from, to)).toEqual(LINES.slice(from, to));
    expect([all.count, all.microsAt(0), all.microsAt(7)]).toEqual([8, 0, 700]);
  });

  test('from a place that is not forgotten, however often some is', () => {
    const all = events(...ALL);
    for (let forgotten = 0; forgotten <= ALL.length; forgotten += 1) {
      all.forget(forgotten);
      expect(replayed(all, forgotten, ALL.length)).toEqual(LINES.slice(forgotten));
    }
    all.sysEx(Uint8Array.of(9), false, 800);
    expect(replayed(all, 8, 9)).toEqual(['800 sysex 9']);
  });
});

test('the room that it takes: a message each, and eleven bytes of SysEx are as much as one', () => {
  const all = events('note', 22, 'note', 11, 'note');
  expect([0, 1, 2, 3, 4, 5].map((from) => all.roomFrom(from))).toEqual([8, 7, 4, 3, 1, 0]);
  all.forget(2);
  // Of all there ever was, as before.
  expect([0, 2, 3, 5].map((from) => all.roomFrom(from))).toEqual([8, 4, 3, 0]);
});
