import { DEFAULT_KEEP, fitSong } from '../../src/core/arrange/fit/fit-song.ts';
import { GENERAL_MIDI } from '../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../src/core/instrument/instrument.ts';
import { readSong } from '../../src/core/smf/read-song.ts';
import type { Song } from '../../src/core/smf/song.ts';
import { writeSong } from '../../src/core/smf/write-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';
import type { Timeline } from '../../src/core/timeline/timeline.ts';
import { profileNamed } from '../../src/profile/profile-named.ts';

export interface BenchSong {
  readonly name: string;
  readonly song: Song;
  readonly timeline: Timeline;
}

/** Songs that are changed once more when what a fit made of them is fitted, for the instruments that come with wirepit. */
export function changedAgain(songs: readonly BenchSong[], tailMicros: number): string[] {
  const shipped = ['lindwurm-eight', 'parlour-piano', 'tin-beat-box'].map(
    (name) => profileNamed(name).instrument,
  );
  const [, , box] = shipped;
  const boxOnOne: Instrument = { ...box!, channels: [0], drums: { ...box!.drums, channels: [0] } };
  const few: Instrument = {
    ...GENERAL_MIDI,
    voices: 8,
    parts: 4,
    full: 'oldest',
    releaseMicros: tailMicros,
  };
  return [...shipped, boxOnOne, few].flatMap((instrument) =>
    songs.flatMap(({ name, song, timeline }) => {
      const { song: fitted } = fitSong(song, timeline, instrument, DEFAULT_KEEP);
      if (fitted === undefined) return [];
      const written = readSong(writeSong(fitted));
      const second = fitSong(written, buildTimeline(written), instrument, DEFAULT_KEEP);
      return second.song === undefined ? [] : [`${name} for ${instrument.name}`];
    }),
  );
}
