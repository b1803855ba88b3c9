import { firstAfter } from '../timeline/sorted-values.ts';
import type { Timeline } from '../timeline/timeline.ts';
import type { Coverage } from './coverage.ts';
import type { HeardMusic } from './heard-music.ts';
import type { MatchedMusic } from './match-music.ts';
import type { WrittenMusic } from './written-music.ts';

/** Something that colours notes and was otherwise than written while they began. */
export interface StateDifference {
  readonly channel: number;
  /** `program`, `bend`, or a controller's number. */
  readonly what: 'program' | 'bend' | number;
  readonly notes: number;
  /** Written note at which it is seen first, and the two values there; undefined: never set. */
  readonly first: number;
  readonly written: number;
  readonly heard: number | undefined;
}

/** What a note takes on as it begins, and a receiver follows (General MIDI Level 1): see `PLACES`. */
const CONTROLLERS = [1, 7, 10, 11, 64] as const;
const PROGRAM = CONTROLLERS.length;
const BEND = PROGRAM + 1;
const KINDS = BEND + 1;
/** A player may set a channel up a little before or after: any value that holds within this time is right. */
export const SLACK_MICROS = 40_000;

/** Values of one channel and kind over time. */
interface Track {
  readonly at: number[];
  readonly value: number[];
}

export function stateDifferences(
  { columns }: Timeline,
  written: WrittenMusic,
  heard: HeardMusic,
  { matching, line }: MatchedMusic,
  { setFromMicros }: Coverage,
): StateDifference[] {
  const ours = tracks();
  for (let row = 0; row < columns.count; row += 1) {
    put(ours, columns.micros[row]!, columns.status[row]!, columns.data1[row]!, columns.data2[row]!);
  }
  const theirs = tracks();
  const { state } = heard;
  for (let n = 0; n < state.count; n += 1) {
    put(theirs, state.micros[n]!, state.status[n]!, state.data1[n]!, state.data2[n]!);
  }
  const found: StateDifference[] = [];
  for (let channel = 0; channel < 16; channel += 1) {
    const notes: number[] = [];
    for (let note = 0; note < written.count; note += 1) {
      if (written.channel[note] === channel && matching.heardOf[note]! >= 0) notes.push(note);
    }
    for (let kind = 0; kind < KINDS; kind += 1) {
      const song = ours[channel * KINDS + kind]!;
      if (song.at.length === 0) continue;
      const record = theirs[channel * KINDS + kind]!;
      let count = 0;
      let first: { note: number; written: number; heard: number | undefined } | undefined;
      const slack = SLACK_MICROS / Math.max(0.2, Math.min(5, line.rate || 1));
      for (const note of notes) {
        const got = lastBefore(record, heard.on.micros[matching.heardOf[note]!]!);
        const at = written.micros[note]!;
        const wanted = lastBefore(song, at);
        // Not set before the note, neither here nor there: what holds then is the instrument's own matter.
        if (wanted === undefined || got === wanted) continue;
        if (got === undefined) {
          const last = firstAfter(song.at, at - slack) - 1;
          // Not set long enough before it, or before anybody listened.
          if (last < 0 || song.at[last]! < setFromMicros) continue;
        }
        if (valuesWithin(song, at - slack, at + slack).includes(got as number)) continue;
        // Set together with the note, in whichever order.
        const came = heard.on.micros[matching.heardOf[note]!]!;
        const isSetNow = song.at[firstAfter(song.at, at) - 1]! > at - slack;
        if (isSetNow && valuesWithin(record, came, came + SLACK_MICROS).includes(wanted)) continue;
        count += 1;
        first ??= { note, written: wanted, heard: got };
      }
      if (first === undefined) continue;
      const what = kind === PROGRAM ? 'program' : kind === BEND ? 'bend' : CONTROLLERS[kind]!;
      found.push({
        channel,
        what,
        notes: count,
        first: first.note,
        written: first.written,
        heard: first.heard,
      });
    }
  }
  return found;
}

function tracks(): Track[] {
  return Array.from({ length: 16 * KINDS }, () => ({ at: [], value: [] }));
}

function put(into: Track[], micros: number, status: number, data1: number, data2: number): void {
  const kind = status & 0xf0;
  const place =
    kind === 0xc0 ? PROGRAM : kind === 0xe0 ? BEND : kind === 0xb0 ? CONTROLLERS.indexOf(data1 as 1) : -1;
  if (place < 0) return;
  const track = into[(status & 15) * KINDS + place]!;
  track.at.push(micros);
  track.value.push(kind === 0xc0 ? data1 : kind === 0xe0 ? data1 | (data2 << 7) : data2);
}

function lastBefore({ at, value }: Track, micros: number): number | undefined {
  return value[firstAfter(at, micros) - 1];
}

/** Values in force at some moment of a stretch. */
function valuesWithin({ at, value }: Track, from: number, to: number): number[] {
  const low = Math.max(0, firstAfter(at, from) - 1);
  return value.slice(low, firstAfter(at, to));
}
