import { channelOutcomes, type LeftOutWhy } from '../../core/arrange/fit/channel-outcomes.ts';
import type { SeatFit } from '../../core/arrange/fit/fit-seat.ts';
import { DEFAULT_KEEP, fitOrchestra } from '../../core/arrange/fit/fit-song.ts';
import { lossPercent } from '../../core/arrange/fit/measure-document.ts';
import { SongWishes } from '../../core/arrange/fit/song-wishes.ts';
import { readSong } from '../../core/smf/read-song.ts';
import { writeSong } from '../../core/smf/write-song.ts';
import { buildTimeline } from '../../core/timeline/build-timeline.ts';
import type { LoadedSong } from '../../files/load-song.ts';
import { fittedSeatWords, seatsToFit } from './seats-to-fit.ts';

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
  readonly port?: readonly string[];
}

/**
 * The song that `wirepit fit` would write, read again: what is played or prepared is what would stand in the file.
 * @param ports of the map, where they are named apart from it
 */
export function fittedSong(
  written: LoadedSong,
  { keep = DEFAULT_KEEP, instrument, map, port = [] }: FittedFlags,
): Fitted {
  const seats = seatsToFit(instrument === undefined ? {} : { instrument }, port, map);
  const fit = fitOrchestra(written.song, written.timeline, seats, keep);
  return {
    loaded:
      fit.song === undefined
        ? written
        : {
            ...readAgain(written.path, writeSong(fit.song)),
            emptied: emptiedChannels(fit.seats),
            wishes: new SongWishes(fit.seats),
          },
    instrument: seats.map(fittedSeatWords).join(', '),
    lossBeforePercent: lossPercent(fit.seats, 'before'),
    lossAfterPercent: lossPercent(fit.seats, 'after'),
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
function emptiedChannels(fits: readonly SeatFit[]): Map<number, string> {
  const empty = fits.flatMap(channelOutcomes).filter(({ channel, playsOn }) => !playsOn.includes(channel));
  return new Map(
    empty.map(({ channel, playsOn, leftOutWhy }) => {
      if (playsOn.length > 0) return [channel - 1, `plays on ${playsOn.join(', ')}`];
      return [channel - 1, `left out: ${WHY_EMPTY[leftOutWhy ?? 'noVoice']}`];
    }),
  );
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
