import { readFileSync } from 'node:fs';
import { type ByteDump, readByteDump, type TimedChunk } from '../../core/capture/byte-dump.ts';
import { logRemarks, type StreamRemark } from '../../core/compare/log-remarks.ts';
import { MIDI_WIRE, microsPerByte } from '../../core/wire/wire-traits.ts';
import { diskPath } from '../../files/disk-path.ts';
import { Refusal } from '../../trouble/refusal.ts';
import type { HowToListen, InputPort } from '../input-port.ts';

/**
 * `file:<path>` as an input: a dump of bytes with times or without (see `readByteDump`). With `pace: 'wire'` it
 * comes at the pace of its times, or of the MIDI wire where it has none; with `at-once` as fast as it is taken,
 * under the same times; a log's remarks on faults and standstills come between its bytes. Throws a refusal when it cannot be read.
 */
export function openFileInput(path: string, how: HowToListen): InputPort {
  const entries = entriesOf(bytesOf(path), `file:${path}`);
  let timer: NodeJS.Timeout | undefined;
  let stopped = false;
  return {
    name: `file:${path}`,
    wire: MIDI_WIRE,
    paced: false,
    stamped: true,
    start(sink) {
      sink.back();
      const began = how.pace === 'wire' ? how.clock.nowMicros() : 0;
      let next = 0;
      const deliver = (): void => {
        const limit = how.pace === 'wire' ? how.clock.nowMicros() : Number.POSITIVE_INFINITY;
        for (let count = 0; next < entries.length && count < BATCH && !stopped; next += 1, count += 1) {
          const entry = entries[next]!;
          const due = began + entry.micros;
          if (due > limit) break;
          if ('bytes' in entry) sink.bytes(entry.bytes, due);
          else if ('faults' in entry) sink.told?.(entry, due);
          else sink.stoodStill?.(began + entry.fromMicros, due);
        }
        if (stopped) return;
        if (next === entries.length) sink.ended();
        else if (how.pace === 'at-once') setImmediate(deliver);
        else timer = setTimeout(deliver, (began + entries[next]!.micros - how.clock.nowMicros()) / 1000);
      };
      setImmediate(deliver);
    },
    async close() {
      stopped = true;
      clearTimeout(timer);
    },
  };
}

/** Chunks between two looks at everything else. */
const BATCH = 2000;
/** A tenth of a second of wire is 312 bytes: the lanes should not jump. */
const UNTIMED_CHUNK = 8;

interface Standstill {
  readonly fromMicros: number;
  /** When it was over. */
  readonly micros: number;
}

function bytesOf(path: string): Uint8Array {
  try {
    return readFileSync(diskPath(path));
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    throw new Refusal(`cannot be read (${code})`, `file:${path}`, 'name a dump of bytes or a record');
  }
}

type Remark = Standstill | StreamRemark;

function entriesOf(file: Uint8Array, where: string): (TimedChunk | Remark)[] {
  const dump = readByteDump(file);
  if (dump.kind !== 'timed') return untimed(dump, where);
  const first = dump.chunks[0]?.micros ?? 0;
  const { stream, standstills } = logRemarks(file);
  const still = standstills.flatMap(({ micros, lengthMicros }): Standstill[] => {
    const fromMicros = Math.max(0, micros - lengthMicros - first);
    return micros > first ? [{ fromMicros, micros: micros - first }] : [];
  });
  const told = stream.map((one) => ({ ...one, micros: Math.max(0, one.micros - first) }));
  const remarks: Remark[] = [...still, ...told];
  return merged(
    fromZero(dump.chunks),
    remarks.sort((a, b) => a.micros - b.micros),
  );
}

/** Both by their times; where these are equal the remark comes first: what came in a standstill is what waited, and a message behind a fault has a byte more. */
function merged(chunks: readonly TimedChunk[], remarks: readonly Remark[]): (TimedChunk | Remark)[] {
  const all: (TimedChunk | Remark)[] = [];
  let next = 0;
  for (const chunk of chunks) {
    for (; next < remarks.length && remarks[next]!.micros <= chunk.micros; next += 1)
      all.push(remarks[next]!);
    all.push(chunk);
  }
  return [...all, ...remarks.slice(next)];
}

function untimed(dump: Exclude<ByteDump, { kind: 'timed' }>, where: string): TimedChunk[] {
  switch (dump.kind) {
    case 'song':
      throw new Refusal('that is a song, not a dump of bytes', where, 'play it: wirepit <file>');
    case 'broken':
      throw new Refusal(
        'this line has no time and bytes',
        `${where}, line ${dump.line}`,
        'write 500000 90 3C 40',
      );
    case 'bytes': {
      const chunks: TimedChunk[] = [];
      for (let at = 0; at < dump.bytes.length; at += UNTIMED_CHUNK) {
        const bytes = dump.bytes.subarray(at, at + UNTIMED_CHUNK);
        chunks.push({ micros: (at + bytes.length) * microsPerByte(MIDI_WIRE), bytes });
      }
      return chunks;
    }
  }
}

/**
 * The first entry is at time 0: a record may begin long after its program did. Order counts before time: a
 * real-time byte between two messages that waited for the wire is written with its own, earlier time.
 */
function fromZero(chunks: readonly TimedChunk[]): TimedChunk[] {
  let latest = 0;
  return chunks.map(({ micros, bytes }) => {
    latest = Math.max(latest, micros - chunks[0]!.micros);
    return { micros: latest, bytes };
  });
}
