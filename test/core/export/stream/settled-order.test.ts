import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { settledOrder, withSharedStatus } from '../../../../src/core/export/stream/settled-order.ts';
import { wireMessagesOf } from '../../../../src/core/export/stream/wire-messages.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { planSong } from '../../../../src/core/wire/plan-song.ts';
import { simulatePlan } from '../../../../src/core/wire/simulate-plan.ts';
import { MIDI_WIRE } from '../../../../src/core/wire/wire-traits.ts';
import { songBytes } from '../../../support/song-bytes.ts';

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
          ],
        ]),
      ),
    );
    const { status, data2 } = withSharedStatus(columns);
    expect([...status]).toEqual([0x90, 0x90, 0x90, 0x80]);
    expect([...data2]).toEqual([80, 0, 80, 10]);
  });
});
