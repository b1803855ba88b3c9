import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { settledOrder, withSharedStatus } from '../../../../src/core/export/stream/settled-order.ts';
import { wireMessagesOf } from '../../../../src/core/export/stream/wire-messages.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { fileOrderPlan } from '../../../../src/core/wire/file-order-plan.ts';
import { planSong } from '../../../../src/core/wire/plan-song.ts';
import { simulatePlan } from '../../../../src/core/wire/simulate-plan.ts';
import { MIDI_WIRE } from '../../../../src/core/wire/wire-traits.ts';
import { toHex } from '../../../support/hex.ts';
import { songBytes } from '../../../support/song-bytes.ts';
import { columnsOf, type Moment } from '../../wire/columns-of.ts';

type Events = Parameters<typeof songBytes>[0][number];
const event = fc.tuple(
  fc.constantFrom(0, 0, 0, 1, 30),
  fc.tuple(
    fc.constantFrom(0x90, 0x91, 0x99, 0x80, 0xb0, 0xc1),
    fc.integer({ min: 58, max: 68 }),
    fc.constantFrom(0, 64, 90),
  ),
);

function planOf(events: Events) {
  const { columns } = buildTimeline(readSong(songBytes([events])));
  return planSong(withSharedStatus(columns), {}, MIDI_WIRE, { order: 'packed' }).plan;
}

/** Each channel's messages in their order, notes of one moment and releases next to each other as sets. */
function byChannel(plan: ReturnType<typeof planOf>, row: (event: number) => string): string[][] {
  const found: string[][] = Array.from({ length: 16 }, () => []);
  for (const one of plan.event) found[plan.columns.status[one]! & 0x0f]!.push(row(one));
  return found;
}

describe('one order for what leaves together', () => {
  test('the same messages; what is no note keeps its place among its channel’s, a key its order; nothing starts early', () => {
    fc.assert(
      fc.property(fc.array(event, { minLength: 2, maxLength: 60 }), (events) => {
        const plan = planOf(
          events.map(([delta, bytes]) => [delta, bytes.slice(0, bytes[0] === 0xc1 ? 2 : 3)]),
        );
        const settled = settledOrder(plan, MIDI_WIRE);
        expect([...settled.event].sort()).toEqual([...plan.event].sort());
        const { status, data1, micros } = plan.columns;
        const isNote = (one: number) => (status[one]! & 0xe0) === 0x80;
        // Beside a note stands how many others came before it, so that none passes a note.
        const places = (of: typeof plan) => byChannel(of, (one) => (isNote(one) ? 'note' : `${one}`));
        expect(places(settled)).toEqual(places(plan));
        for (let key = 58; key <= 68; key += 1) {
          const ofKey = (of: typeof plan) =>
            byChannel(of, (one) => (isNote(one) && data1[one] === key ? `${one}` : '')).map((all) =>
              all.filter((text) => text !== ''),
            );
          expect(ofKey(settled)).toEqual(ofKey(plan));
        }
        const before = simulatePlan(plan, MIDI_WIRE).startMicros;
        const after = simulatePlan(settled, MIDI_WIRE).startMicros;
        const startOf = new Map([...plan.event].map((one, row) => [one, before[row]!]));
        for (const [row, one] of settled.event.entries())
          if (isNote(one))
            expect(after[row]!).toBeGreaterThanOrEqual(Math.min(startOf.get(one)!, micros[one]!) - 1e-6);
      }),
      { numRuns: 150, seed: 13 },
    );
  });

  test('a chord is drums first, then channel by channel from the lowest key up, however it was written', () => {
    const chord = (keys: readonly (readonly [number, number])[]): Events =>
      keys.map(([status, key]) => [0, [status, key, 90]]);
    const bytesOf = (events: Events) => {
      const plan = settledOrder(planOf(events), MIDI_WIRE);
      return [...wireMessagesOf(plan, MIDI_WIRE).bytes];
    };
    const one = bytesOf(
      chord([
        [0x93, 70],
        [0x91, 64],
        [0x99, 36],
        [0x91, 60],
      ]),
    );
    expect(one).toEqual(
      bytesOf(
        chord([
          [0x91, 60],
          [0x99, 36],
          [0x93, 70],
          [0x91, 64],
        ]),
      ),
    );
    expect(one).toEqual([0x99, 36, 90, 0x91, 60, 90, 64, 90, 0x93, 70, 90]);
  });

  test('where the order of notes is heard it stays: Mono On, Legato', () => {
    for (const first of [
      [0xb1, 126, 1],
      [0xb1, 68, 127],
    ]) {
      const events: Events = [
        [0, first],
        [48, [0x91, 64, 90]],
        [0, [0x91, 60, 90]],
      ];
      const plan = settledOrder(planOf(events), MIDI_WIRE);
      expect([...plan.event].map((one) => plan.columns.data1[one])).toEqual([first[1], 64, 60]);
    }
  });

  test('a note-off of velocity 64 becomes its other form, and no other does', () => {
    const { columns } = buildTimeline(
      readSong(
        songBytes([
          [
            [0, [0x90, 60, 80]],
            [9, [0x80, 60, 64]],
            [0, [0x90, 62, 80]],
            [9, [0x80, 62, 10]],
            [9, [0x8f, 60, 64]],
            [9, [0xb0, 7, 64]],
          ],
        ]),
      ),
    );
    const { status, data2 } = withSharedStatus(columns);
    expect([...status]).toEqual([0x90, 0x90, 0x90, 0x80, 0x9f, 0xb0]);
    expect([...data2]).toEqual([80, 0, 80, 10, 0, 64]);
  });
});

describe('a plan in the file’s order, settled', () => {
  const settled = (...moments: Moment[]) => settledOrder(fileOrderPlan(columnsOf(...moments)), MIDI_WIRE);
  const texts = ({ event, columns }: ReturnType<typeof settled>) =>
    [...event].map((row) => toHex([columns.status[row]!, columns.data1[row]!]));
  const orderOf = (...moments: Moment[]) => texts(settled(...moments));
  const one = (...messages: string[]) => orderOf([0, ...messages]);

  test('notes of one moment, drums before channel 1, key by key; of another moment they stay', () => {
    expect(one('90 01 40', '91 00 40', '90 00 40', '99 7F 40')).toEqual(['99 7F', '90 00', '90 01', '91 00']);
    expect(orderOf([0, '91 40 40'], [1, '91 3C 40', '90 3C 40'])).toEqual(['91 40', '90 3C', '91 3C']);
  });

  test('one of a kind keeps its place, and what is no note is passed by none', () => {
    expect(one('91 40 40', 'C0 05', '90 3C 40', '80 3C 00', '90 3B 40')).toEqual([
      ...['91 40', 'C0 05', '90 3C', '80 3C', '90 3B'],
    ]);
    // The same key twice, whichever way: the first stays first.
    const { event } = settled([0, '91 40 40', '90 3C 40', '90 3C 30', '90 3C 20']);
    expect([...event]).toEqual([1, 2, 3, 0]);
  });

  test('note-offs of one moment, in either form', () => {
    expect(one('91 40 00', '80 3C 00', '99 24 00', '90 3B 00')).toEqual(['99 24', '90 3B', '80 3C', '91 40']);
  });

  test('note-offs that wait for the wire: those due by the time the first of them leaves', () => {
    // Nine bytes before them: the first leaves at 2880 µs.
    const before = ['92 01 40', '93 02 40', '94 03 40'];
    expect(orderOf([0, ...before], [1000, '81 40 00'], [2880, '80 3C 00']).slice(3)).toEqual([
      '80 3C',
      '81 40',
    ]);
    expect(orderOf([0, ...before], [1000, '81 40 00'], [2881, '80 3C 00']).slice(3)).toEqual([
      '81 40',
      '80 3C',
    ]);
    // They are then handed over with the first.
    const { releaseMicros } = settled(
      [0, ...before],
      [1000, '81 40 00'],
      [2880, '80 3C 00'],
      [5000, '81 41 00'],
    );
    expect([...releaseMicros]).toEqual([0, 0, 0, 1000, 1000, 5000]);
  });

  test('a dozen note-offs change places at most', () => {
    const keys = Array.from({ length: 14 }, (_, n) => (80 - n).toString(16));
    const sorted = one(...keys.map((key) => `80 ${key} 00`)).map((text) =>
      Number.parseInt(text.slice(3), 16),
    );
    expect(sorted).toEqual([69, 70, 71, 72, 73, 74, 75, 76, 77, 78, 79, 80, 67, 68]);
    // Notes are not counted.
    expect(
      one(...keys.map((key) => `90 ${key} 40`)).map((text) => Number.parseInt(text.slice(3), 16)),
    ).toEqual(Array.from({ length: 14 }, (_, n) => 67 + n));
  });

  test('a channel whose order is heard is passed by none, from the message on that makes it so', () => {
    const glide = (text: string) =>
      orderOf([0, text], [10, '91 46 40', '90 3C 40', '91 3C 40', '91 32 40']).slice(1);
    expect(glide('B0 41 7F')).toEqual(['91 46', '90 3C', '91 32', '91 3C']);
    expect(glide('B0 41 00')).toEqual(['90 3C', '91 32', '91 3C', '91 46']);
    expect(orderOf([0, 'B1 7E 01'], [10, '81 46 00', '80 3C 00', '81 3C 00', '80 32 00']).slice(1)).toEqual([
      ...['81 46', '80 3C', '81 3C', '80 32'],
    ]);
    expect(orderOf([0, '91 46 40', '90 3C 40'], [5, 'B0 54 10'], [10, '91 46 40', '90 3C 40'])).toEqual([
      ...['90 3C', '91 46', 'B0 54', '91 46', '90 3C'],
    ]);
  });
});
