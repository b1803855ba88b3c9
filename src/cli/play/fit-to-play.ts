import { DEFAULT_KEEP, fitSong } from '../../core/arrange/fit/fit-song.ts';
import { readSong } from '../../core/smf/read-song.ts';
import { writeSong } from '../../core/smf/write-song.ts';
import { buildTimeline } from '../../core/timeline/build-timeline.ts';
import type { LoadedSong } from '../../files/load-song.ts';
import { instrumentToFit } from '../fit/instrument-to-fit.ts';
import type { PlayFlags } from '../options/play-flags.ts';

/** The song that `wirepit fit` would write, read again: what is played is what would stand in the file. */
export function fitToPlay(
  { path, song, timeline }: LoadedSong,
  { keep = DEFAULT_KEEP, instrument: name }: PlayFlags,
  tell: (line: string) => void,
): LoadedSong {
  const instrument = instrumentToFit(name === undefined ? {} : { instrument: name });
  const fit = fitSong(song, timeline, instrument, keep);
  const [before, after] = [fit.before, fit.after].map(({ lossPercent }) => lossPercent.toFixed(2));
  tell(
    fit.song === undefined
      ? `fits ${instrument.name} as it is`
      : `fitted to ${instrument.name}: loss ${before} % as written, ${after} % now`,
  );
  if (fit.song === undefined) return { path, song, timeline };
  const fitted = readSong(writeSong(fit.song));
  return { path, song: fitted, timeline: buildTimeline(fitted) };
}
