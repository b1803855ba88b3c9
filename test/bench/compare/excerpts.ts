import { isClockKnown } from '../../../src/core/compare/clock-fit.ts';
import { compareMusic } from '../../../src/core/compare/compare-music.ts';
import { heardFromChunks } from '../../../src/core/compare/hear.ts';
import { songPart } from '../../../src/core/compare/song-part.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { playHomeBuilt } from '../../support/home-built-player.ts';
import type { PackageSong } from '../../support/package-songs.ts';
import type { Goal } from '../goal-line.ts';
import { printTable } from '../print-table.ts';
import { quantile } from './quantile.ts';

const SECONDS = [0.5, 1, 2, 3, 6, 12];
const TAKES = 3;

interface Excerpt {
  readonly song: string;
  readonly seconds: number;
  readonly isAccused: boolean;
  readonly isClockTold: boolean;
  /** How far off the clock is, and two standard deviations as claimed. */
  readonly ppmOff: number;
  readonly ppmUncertainty: number;
}

/** The first seconds of songs, soundly played: nothing is accused however short they are, and a clock that is told is as right as is claimed. */
export function excerpts(songs: readonly PackageSong[]) {
  const taken = songs.flatMap(({ name, bytes }, place) => excerptsOf(name, bytes, place));
  const told = taken.filter(({ isClockTold }) => isClockTold);
  const isWithin = ({ ppmOff, ppmUncertainty }: Excerpt) => ppmOff <= ppmUncertainty;
  printTable(
    ['excerpt', 'recordings', 'accused', 'clock told', 'within 2 sd', 'worst ppm', 'worst in sd'],
    SECONDS.map((seconds) => {
      const some = taken.filter((one) => one.seconds === seconds);
      const known = some.filter(({ isClockTold }) => isClockTold);
      return [
        `${seconds} s`,
        some.length,
        some.filter(({ isAccused }) => isAccused).length,
        known.length,
        known.filter(isWithin).length,
        quantile(
          known.map(({ ppmOff }) => ppmOff),
          1,
        ).toFixed(0),
        quantile(
          known.map(({ ppmOff, ppmUncertainty }) => (2 * ppmOff) / ppmUncertainty),
          1,
        ).toFixed(1),
      ];
    }),
  );
  const goals: Goal[] = [
    {
      name: 'compare-sound-excerpts-accused',
      value: taken.filter(({ isAccused }) => isAccused).length,
      atMost: 0,
    },
    {
      name: 'compare-excerpts-clock-within-two-deviations',
      value: (100 * told.filter(isWithin).length) / told.length,
      unit: '%',
      atLeast: 95,
    },
  ];
  return { taken, goals };
}

function excerptsOf(song: string, bytes: Uint8Array, place: number): Excerpt[] {
  const whole = buildTimeline(readSong(bytes));
  const { columns } = whole;
  const first = columns.status.findIndex(
    (status, row) => (status & 0xf0) === 0x90 && columns.data2[row]! > 0,
  );
  return SECONDS.flatMap((seconds) => {
    const part = songPart(whole, 0, columns.micros[first]! + seconds * 1e6);
    return Array.from({ length: TAKES }, (_, take): Excerpt => {
      const played = playHomeBuilt(part, ['none'], 1000 * place + 500 * take + 7);
      const { clock, verdict } = compareMusic(part, heardFromChunks(played.chunks));
      return {
        song,
        seconds,
        isAccused: verdict !== 'same',
        isClockTold: isClockKnown(clock),
        ppmOff: Math.abs((clock.line.rate - 1) * 1e6 - played.ppm),
        ppmUncertainty: 2e6 * clock.line.rateError,
      };
    });
  });
}
