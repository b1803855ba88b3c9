import {
  type ChannelOutcome,
  channelOutcomes,
  type LeftOutWhy,
} from '../../core/arrange/fit/channel-outcomes.ts';
import { DEFAULT_KEEP, fitSong } from '../../core/arrange/fit/fit-song.ts';
import { readSong } from '../../core/smf/read-song.ts';
import { writeSong } from '../../core/smf/write-song.ts';
import { buildTimeline } from '../../core/timeline/build-timeline.ts';
import type { LoadedSong } from '../../files/load-song.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { mapParts, portAndInstrument } from '../options/instrument-names.ts';
import { instrumentToFit } from './instrument-to-fit.ts';

/** What fitting a song did to it. */
export interface Fitted {
  readonly loaded: LoadedSong;
  readonly instrument: string;
  /** Share of the music that is lost on the instrument, in percent: as written, and fitted. */
  readonly lossBeforePercent: number;
  readonly lossAfterPercent: number;
  /** It fits as it is, and was left so. */
  readonly isAsWritten: boolean;
}

interface FittedFlags {
  readonly keep?: number;
  readonly instrument?: string;
  readonly map?: string;
}

/** The song that `wirepit fit` would write, read again: what is played or prepared is what would stand in the file. */
export function fittedSong(
  written: LoadedSong,
  { keep = DEFAULT_KEEP, instrument: name, map }: FittedFlags,
): Fitted {
  refuseOthers(map, name);
  const instrument = instrumentToFit(name === undefined ? {} : { instrument: name });
  const fit = fitSong(written.song, written.timeline, instrument, keep);
  return {
    loaded:
      fit.song === undefined
        ? written
        : {
            ...readAgain(written.path, writeSong(fit.song)),
            emptied: emptiedChannels(channelOutcomes(fit)),
          },
    instrument: instrument.name,
    lossBeforePercent: fit.before.lossPercent,
    lossAfterPercent: fit.after.lossPercent,
    isAsWritten: fit.song === undefined,
  };
}

/** What the lane of a channel says on which nothing is left. */
const WHY_EMPTY: Readonly<Record<LeftOutWhy, string>> = {
  noVoice: 'no voice left',
  noPart: 'no part left',
  noDrums: 'no drums',
  noDrumSound: 'no drum sound',
  noKey: 'no such keys',
  keyTaken: 'keys taken',
};

/** Channels on which nothing of what was written is left, and where it went. */
function emptiedChannels(outcomes: readonly ChannelOutcome[]): Map<number, string> {
  const empty = outcomes.filter(({ channel, playsOn }) => !playsOn.includes(channel));
  return new Map(
    empty.map(({ channel, playsOn, leftOutWhy }) => {
      if (playsOn.length > 0) return [channel - 1, `plays on ${playsOn.join(', ')}`];
      return [channel - 1, `left out: ${WHY_EMPTY[leftOutWhy ?? 'noVoice']}`];
    }),
  );
}

/** A song is made for one instrument; made for the wrong one it would be worse than as it is. */
function refuseOthers(map: string | undefined, name: string | undefined): void {
  for (const { to } of mapParts(map)) {
    const { instrument } = portAndInstrument(to);
    if (instrument === undefined || instrument === name) continue;
    throw new Refusal(
      `a song is fitted to one instrument, and --map names ${instrument} as well`,
      '--fit',
      'leave --fit out, or name one instrument with --instrument and none in --map',
    );
  }
}

function readAgain(path: string, file: Uint8Array): LoadedSong {
  const song = readSong(file);
  return { path, song, timeline: buildTimeline(song) };
}

export function fittedWords({
  instrument,
  lossBeforePercent,
  lossAfterPercent,
  isAsWritten,
}: Omit<Fitted, 'loaded'>): string {
  const [before, after] = [lossBeforePercent, lossAfterPercent].map((loss) => loss.toFixed(2));
  return isAsWritten
    ? `fits ${instrument} as it is`
    : `fitted to ${instrument}: loss ${before} % as written, ${after} % now`;
}
