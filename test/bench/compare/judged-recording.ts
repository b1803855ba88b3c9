import { isClockKnown } from '../../../src/core/compare/clock-fit.ts';
import { compareMusic, type MusicComparison } from '../../../src/core/compare/compare-music.ts';
import { heardFromChunks } from '../../../src/core/compare/hear.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { type PlayerFault, playHomeBuilt } from '../../support/home-built-player.ts';

/** One recording of a home-built player, and how right the judgement of it was. */
export interface JudgedRecording {
  readonly song: string;
  readonly half: 'tuning' | 'validation';
  readonly faults: readonly PlayerFault[];
  /** Whether the faults made any difference in this song: one at least, and all of them. */
  readonly shows: boolean;
  readonly allShow: boolean;
  readonly codes: readonly string[];
  readonly isSame: boolean;
  /** How far off the clock error was found, in parts per million. */
  readonly ppmOff: number;
  /** False: too little to tell the clock. */
  readonly isClockTold: boolean;
  /** Notes that did not arrive as written; how many were told; how many of those rightly. */
  readonly gone: number;
  readonly told: number;
  readonly rightly: number;
  /** Notes told as missing, added or changed. */
  readonly claimed: number;
  readonly millis: number;
}

/** @throws nothing of its own: what `compareMusic` throws ends the bench */
export function judgeRecording(
  song: string,
  half: JudgedRecording['half'],
  timeline: Timeline,
  faults: readonly PlayerFault[],
  seed: number,
): JudgedRecording {
  const played = playHomeBuilt(timeline, faults, seed);
  const heard = heardFromChunks(played.chunks);
  const began = performance.now();
  const found = compareMusic(timeline, heard);
  const millis = performance.now() - began;
  return {
    song,
    half,
    faults,
    shows: played.shows,
    allShow: faults.every((fault) => played.showing.has(fault)),
    codes: found.causes.map(({ code }) => code),
    isSame: found.verdict === 'same',
    ppmOff: Math.abs((found.clock.line.rate - 1) * 1e6 - played.ppm),
    isClockTold: isClockKnown(found.clock),
    ...notesTold(found, played.arrived),
    claimed: found.notes.length,
    millis,
  };
}

/**
 * Notes by moment, channel and key: which of two strikes of one key in one moment is gone, nobody can say, so
 * as many as are gone there are to be told.
 */
function notesTold({ written, notes }: MusicComparison, arrived: ReadonlySet<number>) {
  const place = (note: number) =>
    written.moment[note]! * 2048 + written.channel[note]! * 128 + written.key[note]!;
  const open = new Map<number, number>();
  let gone = 0;
  for (let note = 0; note < written.count; note += 1) {
    if (arrived.has(written.row[note]!)) continue;
    gone += 1;
    open.set(place(note), (open.get(place(note)) ?? 0) + 1);
  }
  let told = 0;
  let rightly = 0;
  for (const one of notes) {
    if (one.kind === 'added') continue;
    told += 1;
    const left = open.get(place(one.written)) ?? 0;
    if (left === 0) continue;
    open.set(place(one.written), left - 1);
    rightly += 1;
  }
  return { gone, told, rightly };
}
