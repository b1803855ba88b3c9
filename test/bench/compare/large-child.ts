/**
 * A song of so many notes against its recording, in a process of its own: `tsx large-child.ts <notes> <as>`, `as` one of
 * `bare` (nothing is done), `song`, `other` (another song), `one-key` (as many strikes of one key) and `random` (as many random bytes). Figures as
 * JSON on standard output; the time is that of reading the recording and comparing it.
 */
import { compareMusic } from '../../../src/core/compare/compare-music.ts';
import { HeardReader } from '../../../src/core/compare/heard-reader.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { isNoteOn } from '../../../src/core/timeline/note-row.ts';
import type { TimelineColumns } from '../../../src/core/timeline/timeline.ts';
import { seeded } from '../../support/seeded.ts';
import { millionNotes } from '../million-notes.ts';

type Feed = (reader: HeardReader, columns: TimelineColumns, notes: number) => void;

const RECORDINGS: Readonly<Record<string, Feed>> = {
  song: (reader, columns) => {
    const message = new Uint8Array(3);
    const short = message.subarray(0, 2);
    for (let row = 0; row < columns.count; row += 1) {
      const status = columns.status[row]!;
      if (status >= 0xf0) continue;
      message[0] = status;
      message[1] = columns.data1[row]!;
      message[2] = columns.data2[row]!;
      reader.feed((status & 0xe0) === 0xc0 ? short : message, 500_000 + columns.micros[row]!);
    }
  },
  // Keys and moments of its own, on the song's channels.
  other: (reader, columns, notes) => {
    const chance = seeded(2);
    const message = new Uint8Array(3);
    let micros = 0;
    for (let note = 0; note < notes; note += 1) {
      micros += chance() * ((2 * columns.micros[columns.count - 1]!) / notes);
      message.set([0x90 | (note & 15), Math.floor(20 + chance() * 90), 64]);
      reader.feed(message, micros);
      message[2] = 0;
      reader.feed(message, micros + 1000);
    }
  },
  'one-key': (reader, columns, notes) => {
    const message = Uint8Array.of(0x90, 60, 64);
    const span = columns.micros[columns.count - 1]!;
    for (let note = 0; note < notes; note += 1) reader.feed(message, (note * span) / notes);
  },
  random: (reader, columns, notes) => {
    const chance = seeded(1);
    const bytes = new Uint8Array(3);
    const span = columns.micros[columns.count - 1]!;
    for (let note = 0; note < notes; note += 1) {
      for (let at = 0; at < 3; at += 1) bytes[at] = Math.floor(chance() * 256);
      reader.feed(bytes, (note * span) / notes);
    }
  },
};

const notes = Number(process.argv[2]);
const feed = RECORDINGS[process.argv[3] ?? ''];
let figures = {};
if (feed !== undefined) {
  const timeline = buildTimeline(readSong(millionNotes(16, notes)));
  const began = performance.now();
  const reader = new HeardReader(true);
  feed(reader, timeline.columns, notes);
  const found = compareMusic(timeline, reader.finish());
  const millis = performance.now() - began;
  let written = 0;
  for (let row = 0; row < timeline.columns.count; row += 1) if (isNoteOn(timeline.columns, row)) written += 1;
  figures = { millis, written, matched: found.matched.matching.matched, isTheSong: found.isTheSong };
}
// Kilobytes → MB, near enough.
process.stdout.write(JSON.stringify({ ...figures, peakMb: process.resourceUsage().maxRSS / 1000 }));
