import type { Song, SongEvents } from '../smf/song.ts';
import { copyRun, type RowCopy, rowCopy, type SentColumns } from './sent-columns.ts';
import { eachRowInOrder } from './tournament.ts';

const META = 0xff;

/** So many rows, and their counts, stay in a processor's second cache; on Node 24 1,536 took 6 % longer of all the reading (measured). */
const ROWS_PER_STRETCH = 1024;
/** With more ticks than that for each row, counting by tick is mostly looking at empty ticks. */
const MOST_TICKS_PER_ROW = 16;

/** Told up to which row all stand in their place, now and then, and at the end: what is done then finds them in the cache. */
export type RowsPlaced = (end: number) => void;

/**
 * Copies all rows but the metas, those of all tracks in tick order, those of one tick in track and file order.
 * @param tick of each row of the song
 */
export function interleaveTracks(
  song: Song,
  tick: Uint32Array,
  endTick: number,
  sent: SentColumns,
  placed: RowsPlaced,
): void {
  const copy = rowCopy(song.events, tick, sent);
  if (isInOrder(song, tick)) copyInFileOrder(song, tick, sent);
  else if (endTick / song.events.count <= MOST_TICKS_PER_ROW)
    copyByCounting(song, tick, endTick, copy, placed);
  else copyByTournament(song, tick, copy);
  placed(sent.count);
}

/** True where only one track sends anything, and for patterns one after another. */
function isInOrder({ events: { status }, trackStart }: Song, tick: Uint32Array): boolean {
  let last = 0;
  for (let track = 0; track + 1 < trackStart.length; track += 1) {
    let from = trackStart[track]!;
    let to = trackStart[track + 1]!;
    while (from < to && status[from] === META) from += 1;
    while (to > from && status[to - 1] === META) to -= 1;
    if (from === to) continue;
    if (tick[from]! < last) return false;
    last = tick[to - 1]!;
  }
  return true;
}

/** Runs of rows between metas, copied whole. */
function copyInFileOrder({ events, trackStart }: Song, tick: Uint32Array, sent: SentColumns): void {
  let at = 0;
  let meta = -1;
  for (let track = 0; track + 1 < trackStart.length; track += 1) {
    const end = trackStart[track + 1]!;
    for (let row = trackStart[track]!; row < end; ) {
      if (meta < row) meta = metaFrom(events, row);
      const to = Math.min(meta, end);
      if (to > row) copyRun(events, tick, sent, at, row, to, track);
      at += to - row;
      row = to + 1;
    }
  }
}

function metaFrom({ status, count }: SongEvents, row: number): number {
  const meta = status.indexOf(META, row);
  return meta < 0 ? count : meta;
}

/**
 * A counting sort over stretches of ticks: count the rows of each tick, which gives every tick its place, then
 * go through the tracks again and put each row in its place. A step does not depend on how many tracks there
 * are. (The tournament took a fifth longer on a million notes in 16 tracks.)
 */
function copyByCounting(
  { events, trackStart }: Song,
  tick: Uint32Array,
  endTick: number,
  copy: RowCopy,
  placed: RowsPlaced,
): void {
  const { status, count } = events;
  const tracks = trackStart.length - 1;
  const from = trackStart.slice(0, tracks);
  const to = trackStart.slice(0, tracks);
  const place = new Uint32Array(Math.ceil(((endTick + 1) * ROWS_PER_STRETCH) / count));
  const taken = new Uint32Array((place.length + 31) >>> 5);
  let filled = 0;
  // A function of its own, which is compiled whole and called again: the loop over stretches with all this within, compiled
  // while it runs, took a tenth longer of all the reading (Node 20 and 22, measured).
  const copyStretch = (start: number) => {
    for (let track = 0; track < tracks; track += 1) {
      to[track] = countRows(status, tick, from[track]!, trackStart[track + 1]!, start, place, taken);
    }
    filled = givePlaces(place, taken, filled);
    for (let track = 0; track < tracks; track += 1) {
      putRows(status, tick, from[track]!, to[track]!, track, start, place, copy);
    }
    from.set(to);
  };
  for (let start = 0; start <= endTick; start += place.length) {
    copyStretch(start);
    placed(filled);
  }
}

/**
 * Counts rows by their tick, as long as it is within the stretch, and marks the ticks that have any, a bit for each: what stands in
 * `counts` where there is no mark is of an earlier stretch. A slot is said to have 32 bits: Node 20 takes it for a double otherwise,
 * a tenth of all the reading (measured).
 * @returns the first row beyond it
 */
function countRows(
  status: Uint8Array,
  tick: Uint32Array,
  from: number,
  end: number,
  start: number,
  counts: Uint32Array,
  taken: Uint32Array,
): number {
  const stride = counts.length;
  let row = from;
  for (; row < end; row += 1) {
    const slot = (tick[row]! - start) >>> 0;
    if (slot >= stride) break;
    if (status[row] === META) continue;
    const word = slot >>> 5;
    const mark = 1 << (slot & 31);
    const marks = taken[word]!;
    if ((marks & mark) === 0) {
      taken[word] = marks | mark;
      counts[slot] = 1;
    } else counts[slot]! += 1;
  }
  return row;
}

/**
 * Turns counts into the place of the first row of each tick, and clears the marks. Ticks are many more than rows: going from
 * mark to mark took a quarter off the whole merge. @returns the first place after them all
 */
function givePlaces(counts: Uint32Array, taken: Uint32Array, first: number): number {
  let next = first;
  for (let word = 0; word < taken.length; word += 1) {
    let bits = taken[word]!;
    if (bits === 0) continue;
    taken[word] = 0;
    for (; bits !== 0; bits &= bits - 1) {
      const slot = word * 32 + 31 - Math.clz32(bits & -bits);
      const rows = counts[slot]!;
      counts[slot] = next;
      next += rows;
    }
  }
  return next;
}

function putRows(
  status: Uint8Array,
  tick: Uint32Array,
  from: number,
  end: number,
  track: number,
  start: number,
  place: Uint32Array,
  copy: RowCopy,
): void {
  for (let row = from; row < end; row += 1) {
    if (status[row] === META) continue;
    const slot = (tick[row]! - start) >>> 0;
    const at = place[slot]!;
    place[slot] = at + 1;
    copy(at, row, track);
  }
}

function copyByTournament({ events, trackStart }: Song, tick: Uint32Array, copy: RowCopy): void {
  let at = 0;
  eachRowInOrder(tick, trackStart, (row, track) => {
    if (events.status[row] !== META) copy(at++, row, track);
  });
}
