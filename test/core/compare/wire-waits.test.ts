import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { longestWaits, wireWaits } from '../../../src/core/compare/wire-waits.ts';
import { writtenMusic } from '../../../src/core/compare/written-music.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

/** A byte takes 320 µs on the wire: ten bits at 31,250 a second (MIDI 1.0, p. 1). */
const BYTE = 320;

describe('how long each message waits for the wire', () => {
  test('for what is due with it and before it, byte by byte', () => {
    const columns = timelineOf([
      [0, 0x90, 60, 64],
      [0, 0x90, 61, 64],
      [0, 0xc0, 5],
      [0, 0xf0, 0x7d, 1, 0xf7],
      [1000, 0x90, 62, 64],
      [100_000, 0x90, 63, 64],
    ]);
    expect([...wireWaits(columns, false)]).toEqual([0, 3 * BYTE, 6 * BYTE, 8 * BYTE, 12 * BYTE - 1000, 0]);
    // With running status the second note is a byte shorter.
    expect([...wireWaits(columns, true)]).toEqual([0, 3 * BYTE, 5 * BYTE, 7 * BYTE, 11 * BYTE - 1000, 0]);
  });

  test('a SysEx ends running status, and is never shorter itself', () => {
    const same = (between: readonly number[][]) =>
      wireWaits(
        timelineOf([
          [0, 0xb0, 7, 1],
          ...between.map((message): TimedBytes => [0, ...message]),
          [0, 0xb0, 7, 2],
          [0, 0xb0, 7, 3],
        ]),
        true,
      ).at(-1);
    expect(same([])).toBe(5 * BYTE);
    expect(same([[0xf0, 1, 0xf7]])).toBe(9 * BYTE);
    expect(
      same([
        [0xf0, 1, 0xf7],
        [0xf0, 1, 0xf7],
      ]),
    ).toBe(12 * BYTE);
  });

  test('a message at the moment at which the wire is free does not wait', () => {
    const columns = timelineOf([
      [0, 0x90, 60, 64],
      [3 * BYTE, 0x90, 61, 64],
      [6 * BYTE - 1, 0x90, 62, 64],
    ]);
    expect([...wireWaits(columns, false)]).toEqual([0, 0, 1]);
  });

  test('what is sent when it is said to be never overlaps, and no message waits while the wire is free', () => {
    const message = fc.tuple(fc.nat(20_000), fc.constantFrom(0x90, 0x91, 0xc0), fc.nat(127), fc.nat(127));
    fc.assert(
      fc.property(fc.array(message, { maxLength: 20 }), fc.boolean(), (messages, isRunning) => {
        const columns = timelineOf(messages);
        const waits = wireWaits(columns, isRunning);
        let free = 0;
        for (let row = 0; row < columns.count; row += 1) {
          const begin = columns.micros[row]! + waits[row]!;
          expect(begin).toBe(Math.max(free, columns.micros[row]!));
          const isShort = isRunning && row > 0 && columns.status[row] === columns.status[row - 1];
          free = begin + BYTE * ((columns.status[row] === 0xc0 ? 2 : 3) - (isShort ? 1 : 0));
        }
      }),
    );
  });
});

test('a note may be kept until all of its moment is sent', () => {
  const columns = timelineOf([
    [0, 0x90, 60, 64],
    [0, 0x90, 61, 64],
    [0, 0xb0, 7, 1],
    [1000, 0x90, 62, 64],
    [1000, 0xb0, 7, 1],
    [500_000, 0x90, 63, 64],
  ]);
  const written = writtenMusic({ columns } as Timeline);
  // The controller waits 6 bytes; the next moment's waits 9 and 12, less its 1000 µs.
  expect([...longestWaits(columns, written)]).toEqual([6 * BYTE, 6 * BYTE, 12 * BYTE - 1000, 0]);
});
