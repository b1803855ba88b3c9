import fc from 'fast-check';
import { expect, test } from 'vitest';
import { songNotesOf } from '../../../src/core/observe/song-notes.ts';
import { NO_PARTNER, type TimelineColumns } from '../../../src/core/timeline/timeline.ts';
import { timelineOf } from '../../support/timeline-of.ts';

const messages = fc.array(
  fc.tuple(
    fc.integer({ min: 0, max: 6 }).map((step) => step * 1000),
    fc.constantFrom(0x80, 0x90, 0x91, 0x81, 0xb0),
    fc.constantFrom(60, 61),
    fc.constantFrom(0, 64),
  ),
  { maxLength: 24 },
);

interface Row {
  readonly row: number;
  readonly micros: number;
  readonly kind: 'on' | 'off' | 'other';
  readonly channel: number;
  readonly key: number;
  readonly partner: number | undefined;
}

/** The columns as objects: what the lookups are told from by plain search. */
function rowsOf(columns: TimelineColumns): Row[] {
  return Array.from({ length: columns.count }, (_, row): Row => {
    const status = columns.status[row]!;
    const isOn = (status & 0xf0) === 0x90 && columns.data2[row]! > 0;
    const isNote = (status & 0xe0) === 0x80;
    const partner = columns.partner[row]!;
    return {
      row,
      micros: columns.micros[row]!,
      kind: isOn ? 'on' : isNote ? 'off' : 'other',
      channel: status & 15,
      key: columns.data1[row]!,
      partner: partner === NO_PARTNER ? undefined : partner,
    };
  });
}

test('how notes end: as a plain search finds it', () => {
  fc.assert(
    fc.property(messages, (song) => {
      const columns = timelineOf(song);
      const rows = rowsOf(columns);
      const notes = songNotesOf(columns);
      const ons = rows.filter(({ kind }) => kind === 'on');
      expect(notes.unreleasedCount).toBe(ons.filter(({ partner }) => partner === undefined).length);
      for (const channel of [0, 1]) {
        for (const key of [60, 61]) {
          for (let micros = 0; micros <= 6000; micros += 1000) {
            const there = ons.filter((on) => on.channel === channel && on.key === key);
            const now = there.filter((on) => on.micros === micros);
            const wanted = now.find(({ partner }) => partner === undefined) ?? now.at(-1);
            expect(notes.find(channel, key, micros)).toEqual(wanted && endOf(rows, wanted));
            const open = there.filter((on) => on.partner === undefined && on.micros <= micros).at(-1);
            expect(notes.unreleasedBefore(channel, key, micros)).toEqual(open && endOf(rows, open));
          }
        }
      }
    }),
  );
});

function endOf(rows: readonly Row[], on: Row) {
  const stray = rows.find(
    ({ row, kind, key, channel, partner }) =>
      kind === 'off' && partner === undefined && key === on.key && channel !== on.channel && row > on.row,
  );
  return on.partner === undefined
    ? { onMicros: on.micros, offMicros: -1, strayOffChannel: stray?.channel ?? -1 }
    : { onMicros: on.micros, offMicros: rows[on.partner]!.micros, strayOffChannel: -1 };
}
