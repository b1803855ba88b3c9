import { describe, expect, test } from 'vitest';
import { Settled, settledBeforeNotes } from '../../../src/core/schedule/settled.ts';
import { hex } from '../../support/hex.ts';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

/** What a song settles before its notes, as `channel:what`; `c` in a message stands for the channel. */
function settled(messages: string, channel = 0, releases?: ReadonlyMap<number, number>): string[] {
  const rows = messages
    .replaceAll('c', channel.toString(16))
    .split('|')
    .map((one, n): TimedBytes => [n * 1000, ...hex(one)]);
  const marks = settledBeforeNotes(planOf(timelineOf(rows), releases));
  const names: Record<number, string> = {
    [Settled.program]: 'program',
    [Settled.bend]: 'bend',
    [Settled.pressure]: 'pressure',
  };
  return [...marks.entries()].flatMap(([cell, mark]) => {
    if (mark === 0) return [];
    const what = cell % Settled.stride;
    return [`${Math.floor(cell / Settled.stride)}:${names[what] ?? `cc${what}`}`];
  });
}

describe.each([0, 7, 15])('on channel %i', (channel) => {
  test.each([
    [
      'what is set before the first note',
      'Bc 07 01 | Cc 05 | Dc 03 | Ec 00 41 | 9c 3C 01',
      ['cc7', 'program', 'bend', 'pressure'],
    ],
    ['nothing that is set after it', '9c 3C 01 | Bc 07 01 | Cc 05 | Dc 03 | Ec 00 41', []],
    ['a note-off is no note', '9c 3C 00 | 8c 3C 40 | Bc 07 01 | 9c 3C 01 | Bc 0A 01', ['cc7']],
    ['of a channel without notes all', 'Bc 07 01 | Bc 7F 01', ['cc7', 'cc127']],
    ['the bank of the first program', 'Bc 00 01 | Bc 20 02 | Cc 05 | 9c 3C 01', ['cc0', 'cc32', 'program']],
    // It waits for the next program, so the first one was heard with the bank before.
    [
      'no bank that follows a program',
      'Cc 05 | Bc 00 01 | Bc 20 02 | Bc 01 02 | 9c 3C 01',
      ['cc1', 'program'],
    ],
    ['key pressure and SysEx settle nothing', 'Ac 3C 01 | F0 7D F7 | Bc 07 01 | 9c 3C 01', ['cc7']],
  ])('%s', (_, messages, names) => {
    expect(settled(messages, channel)).toEqual(names.map((name) => `${channel}:${name}`));
  });
});

test('each channel has its own first note and program', () => {
  expect(
    settled('90 3C 01 | B0 07 01 | B1 07 01 | C0 05 | C2 05 | B1 00 01 | 9F 3C 01 | BF 07 01 | B2 00 01'),
  ).toEqual([...['1:cc0', '1:cc7', '2:program']]);
});

test('once every channel has sounded nothing more is settled', () => {
  const notes = Array.from({ length: 16 }, (_, n) => `9${n.toString(16)} 3C 01`).join('|');
  expect(settled(`B0 07 01 | ${notes} | B0 08 01 | BF 08 01`)).toEqual(['0:cc7']);
});

test('as the plan has it: what it moved before the note, or behind', () => {
  expect(settled('90 3C 01 | B0 07 01', 0, new Map([[1, -5]]))).toEqual(['0:cc7']);
  expect(settled('B0 07 01 | 90 3C 01', 0, new Map([[1, -5]]))).toEqual([]);
});
