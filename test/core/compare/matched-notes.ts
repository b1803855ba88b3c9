import { HeardFold } from '../../../src/core/compare/heard-fold.ts';
import type { HeardMusic } from '../../../src/core/compare/heard-music.ts';
import type { MatchedMusic } from '../../../src/core/compare/match-music.ts';
import { type WrittenMusic, writtenMusic } from '../../../src/core/compare/written-music.ts';
import type { Timeline, TimelineColumns } from '../../../src/core/timeline/timeline.ts';
import { heardNotes, type LaidNote, songRows } from './laid-notes.ts';

/** A note heard, and which written one it is; −1: none. */
export interface HeardAs extends LaidNote {
  readonly of: number;
}

/** A song, what was heard of it, and which note is which. */
export interface LaidBeside {
  readonly columns: TimelineColumns;
  readonly written: WrittenMusic;
  readonly heard: HeardMusic;
  readonly matched: MatchedMusic;
}

export const NOTHING_HEARD: HeardMusic = new HeardFold().music(true, 0, false);

/** Of notes: all else is as where nothing is wrong, but for what is given. */
export function laidBeside(
  song: readonly LaidNote[] | TimelineColumns,
  came: readonly HeardAs[],
  { heard = {}, matched = {} }: { heard?: Partial<HeardMusic>; matched?: Partial<MatchedMusic> } = {},
): LaidBeside {
  const columns = 'count' in song ? song : songRows(song);
  const written = writtenMusic({ columns } as Timeline);
  const heardOf = new Int32Array(written.count).fill(-1);
  for (const [note, { of }] of came.entries()) if (of >= 0) heardOf[of] = note;
  const line = { start: 0, rate: 1, spread: 0, rateError: 0 };
  return {
    columns,
    written,
    heard: {
      ...NOTHING_HEARD,
      beganMicros: came[0]?.at ?? Number.NaN,
      lastMicros: came.at(-1)?.at ?? Number.NaN,
      on: heardNotes(came),
      ...heard,
    },
    matched: {
      law: 'tempo-map',
      times: written.micros,
      line,
      expected: written.micros,
      matching: {
        heardOf,
        writtenOf: Int32Array.from(came, ({ of }) => of),
        matched: came.filter(({ of }) => of >= 0).length,
      },
      ...matched,
    },
  };
}
