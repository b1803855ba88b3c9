import type { TimedChunk } from '../../../src/core/capture/byte-dump.ts';
import { heardFromChunks } from '../../../src/core/compare/hear.ts';
import type { HeardMusic, HeardNotes } from '../../../src/core/compare/heard-music.ts';
import { type WrittenMusic, writtenMusic } from '../../../src/core/compare/written-music.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

/** A note with its time; 100 ms long on channel 0, as loud as any, where nothing else is said. */
export interface LaidNote {
  readonly at: number;
  readonly key: number;
  readonly velocity?: number;
  readonly channel?: number;
  /** NaN: it is never let go. */
  readonly off?: number;
}

const LENGTH = 100_000;

function messagesOf(notes: readonly LaidNote[]): TimedBytes[] {
  return notes.flatMap(({ at, key, velocity = 64, channel = 0, off = at + LENGTH }): TimedBytes[] => [
    [at, 0x90 | channel, key, velocity],
    ...(Number.isNaN(off) ? [] : [[off, 0x80 | channel, key, 64] as TimedBytes]),
  ]);
}

/** A song's messages out of notes. */
export function songRows(notes: readonly LaidNote[]) {
  return timelineOf(messagesOf(notes));
}

/** A whole song out of notes, and of what else is in it: a tick is a millisecond, at 120 a minute. */
export function laidSong(notes: readonly LaidNote[], more: readonly TimedBytes[] = []): Timeline {
  let tick = 0;
  const events = [...more, ...messagesOf(notes)]
    .sort((a, b) => a[0] - b[0])
    .map(([micros, ...bytes]): DeltaEvent => {
      const before = tick;
      tick = Math.round(micros / 1000);
      return [tick - before, bytes];
    });
  return buildTimeline(readSong(songBytes([events], { division: 500 })));
}

/** What came over a wire, note by note, as pieces with their times. */
export function laidChunks(notes: readonly LaidNote[], more: readonly TimedBytes[] = []): TimedChunk[] {
  return [...more, ...messagesOf(notes)]
    .sort((a, b) => a[0] - b[0])
    .map(([micros, ...bytes]) => ({ micros, bytes: Uint8Array.from(bytes) }));
}

export function heardAll(notes: readonly LaidNote[], more: readonly TimedBytes[] = []): HeardMusic {
  return heardFromChunks(laidChunks(notes, more));
}

export function writtenNotes(notes: readonly LaidNote[]): WrittenMusic {
  return writtenMusic({ columns: songRows(notes) } as Timeline);
}

/** Notes as they were heard, in the order given. */
export function heardNotes(notes: readonly LaidNote[]): HeardNotes {
  return {
    count: notes.length,
    micros: Float64Array.from(notes, ({ at }) => at),
    channel: Uint8Array.from(notes, ({ channel = 0 }) => channel),
    key: Uint8Array.from(notes, ({ key }) => key),
    velocity: Uint8Array.from(notes, ({ velocity = 64 }) => velocity),
    offMicros: Float64Array.from(notes, ({ at, off = at + LENGTH }) => off),
    message: Uint32Array.from(notes, (_, n) => n),
    statusBefore: new Uint8Array(notes.length),
  };
}
