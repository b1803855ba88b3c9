import { readByteDump, type TimedChunk } from '../capture/byte-dump.ts';
import { readSong } from '../smf/read-song.ts';
import { buildTimeline } from '../timeline/build-timeline.ts';
import { payloadOf } from '../timeline/payload-rows.ts';
import { heardFromBytes } from './hear.ts';
import type { HeardMusic } from './heard-music.ts';
import { HeardReader } from './heard-reader.ts';
import { type LogRemarks, logRemarks } from './log-remarks.ts';

export type HeardFile =
  | { readonly kind: 'heard'; readonly music: HeardMusic }
  /** A text with times that has a line which is none. */
  | { readonly kind: 'broken'; readonly line: number };

/**
 * A recording in any of its forms: a text log (its remarks on faults are read too), a file port's record, a recorded
 * song file, or plain bytes without times.
 * @throws UnreadableSong for a song file in which there is nothing to play
 */
export function readHeardFile(file: Uint8Array): HeardFile {
  const dump = readByteDump(file);
  switch (dump.kind) {
    case 'song':
      return { kind: 'heard', music: heardFromSong(file) };
    case 'bytes':
      return { kind: 'heard', music: heardFromBytes(dump.bytes) };
    case 'broken':
      return dump;
    case 'timed':
      return { kind: 'heard', music: heardFromLines(dump.chunks, logRemarks(file)) };
  }
}

function heardFromSong(file: Uint8Array): HeardMusic {
  const { columns } = buildTimeline(readSong(file));
  const reader = new HeardReader(true);
  for (let row = 0; row < columns.count; row += 1) {
    const status = columns.status[row]!;
    const body = status < 0xf0 ? [] : [...payloadOf(columns, row)];
    const bytes =
      status === 0xf0
        ? [0xf0, ...body]
        : status > 0xf0
          ? body
          : [status, columns.data1[row]!, columns.data2[row]!].slice(0, (status & 0xe0) === 0xc0 ? 2 : 3);
    reader.feed(Uint8Array.from(bytes), columns.micros[row]!);
  }
  return reader.finish();
}

function heardFromLines(chunks: readonly TimedChunk[], { stream, standstills }: LogRemarks): HeardMusic {
  const reader = new HeardReader(true);
  let next = 0;
  const tell = (untilMicros: number): void => {
    for (; next < stream.length && stream[next]!.micros <= untilMicros; next += 1)
      for (const fault of stream[next]!.faults) reader.told(fault);
  };
  for (const { micros, bytes } of chunks) {
    tell(micros);
    reader.feed(bytes, micros);
  }
  tell(Number.POSITIVE_INFINITY);
  for (const { micros, lengthMicros } of standstills) reader.stoodStill(micros - lengthMicros, micros);
  return reader.finish();
}
