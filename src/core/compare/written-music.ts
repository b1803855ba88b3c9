import { isNoteOn } from '../timeline/note-row.ts';
import type { Timeline } from '../timeline/timeline.ts';
import { rowBytes } from '../wire/message-length.ts';

/** The notes of a song as they are written, in playing order. Columns are [count]. */
export interface WrittenMusic {
  readonly count: number;
  /** Song time, tick, and number of the moment: notes of one tick share it. */
  readonly micros: Float64Array;
  readonly tick: Float64Array;
  readonly moment: Uint32Array;
  readonly channel: Uint8Array;
  readonly key: Uint8Array;
  readonly velocity: Uint8Array;
  readonly track: Uint16Array;
  /** Song time of its note-off; NaN: none. */
  readonly offMicros: Float64Array;
  /** 1: its note-off is written as a note-on with velocity 0. */
  readonly offIsZero: Uint8Array;
  /** How many messages of any kind, and wire bytes with running status, the song has before it. */
  readonly message: Uint32Array;
  readonly bytes: Float64Array;
  /** Timeline row. */
  readonly row: Uint32Array;
}

export function writtenMusic({ columns }: Timeline): WrittenMusic {
  let count = 0;
  for (let row = 0; row < columns.count; row += 1) if (isNoteOn(columns, row)) count += 1;
  const out = {
    micros: new Float64Array(count),
    tick: new Float64Array(count),
    moment: new Uint32Array(count),
    channel: new Uint8Array(count),
    key: new Uint8Array(count),
    velocity: new Uint8Array(count),
    track: new Uint16Array(count),
    offMicros: new Float64Array(count).fill(Number.NaN),
    offIsZero: new Uint8Array(count),
    message: new Uint32Array(count),
    bytes: new Float64Array(count),
    row: new Uint32Array(count),
  };
  let at = 0;
  let moment = -1;
  let bytes = 0;
  let running = 0;
  for (let row = 0; row < columns.count; row += 1) {
    const status = columns.status[row]!;
    if (isNoteOn(columns, row)) {
      if (at === 0 || columns.tick[row] !== out.tick[at - 1]) moment += 1;
      out.micros[at] = columns.micros[row]!;
      out.tick[at] = columns.tick[row]!;
      out.moment[at] = moment;
      out.channel[at] = status & 15;
      out.key[at] = columns.data1[row]!;
      out.velocity[at] = columns.data2[row]!;
      out.track[at] = columns.track[row]!;
      out.message[at] = row;
      out.bytes[at] = bytes;
      out.row[at] = row;
      const off = columns.partner[row]!;
      if (off < columns.count) {
        out.offMicros[at] = columns.micros[off]!;
        out.offIsZero[at] = (columns.status[off]! & 0xf0) === 0x90 ? 1 : 0;
      }
      at += 1;
    }
    bytes += rowBytes(columns, row) - (status === running ? 1 : 0);
    running = status < 0xf0 ? status : 0;
  }
  return { count, ...out };
}
