import { fitDocument } from '../../src/core/arrange/fit/fit-document.ts';
import { fitSong } from '../../src/core/arrange/fit/fit-song.ts';
import type { Instrument } from '../../src/core/instrument/instrument.ts';
import { readSong } from '../../src/core/smf/read-song.ts';
import { writeSong } from '../../src/core/smf/write-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes } from './song-bytes.ts';

/** A song of one track fitted to an instrument, and what is told of it. */
export function fittedBytes(events: readonly DeltaEvent[], instrument: Instrument) {
  const written = songBytes([events]);
  const song = readSong(written);
  const timeline = buildTimeline(song);
  const fit = fitSong(song, timeline, instrument, 2);
  const bytes = fit.song === undefined ? written : writeSong(fit.song);
  return { document: fitDocument('a.mid', timeline, 2, fit), bytes };
}
