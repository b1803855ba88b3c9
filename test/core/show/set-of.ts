import type { ShowSet, ShowSong } from '../../../src/core/show/show-set.ts';

/** A set of songs of which a test says only what matters to it. */
export function setOf(songs: readonly Partial<ShowSong>[], rest: Partial<ShowSet> = {}): ShowSet {
  return {
    name: 'Harvest evening',
    loops: false,
    shuffleSeed: undefined,
    sections: [],
    songs: songs.map((song, at) => ({
      path: `song-${at}.mid`,
      from: undefined,
      to: undefined,
      tempoPercent: 100,
      transposeSemitones: 0,
      mute: [],
      solo: [],
      programs: new Map(),
      volumePercent: 100,
      instrument: undefined,
      fits: false,
      repeats: 1,
      before: { seconds: 0, waitsForKey: false },
      section: undefined,
      ...song,
    })),
    ...rest,
  };
}
