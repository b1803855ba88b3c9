import { basename } from 'node:path';
import type { ShowSong } from '../../core/show/show-set.ts';
import { FIRST_PLACE, type Place, placeAfter, placeBeside, turnAt } from '../../core/show/turns.ts';
import { type LoadedSong, loadSong } from '../../files/load-song.ts';
import { keepSettings } from '../../show/kept-settings.ts';
import { type ReadSet, settingsOf } from '../../show/read-set.ts';
import type { SongSettings } from '../../show/set-schema.ts';
import type { ShowMemory } from '../../show/show-files.ts';
import { Refusal } from '../../trouble/refusal.ts';
import type { PlayFlags } from '../options/play-flags.ts';
import { forNthSong } from '../play/for-nth-song.ts';
import type { RunInputs } from '../play/inputs.ts';
import { type PreparedPlay, preparePlay } from '../play/prepare-play.ts';
import { refuseOwnFiles } from '../play/refuse-own-files.ts';
import type { ShowClock } from './show-clock.ts';
import type { ShowReport } from './show-report.ts';
import type { Leave, ShowStage } from './show-stage.ts';
import { type ShowFlags, songFlags, songSetup } from './song-flags.ts';

/** Song time between two writings of the place, so that a power cut costs no more. */
const KEEP_EVERY_MICROS = 10_000_000;
/** How often a closed section is looked at again. */
const LOOK_AGAIN_SECONDS = 20;

/** Makes a song fit its instrument; loaded only where a set asks for it. */
export type FitSong = (loaded: LoadedSong, flags: PlayFlags) => LoadedSong;

/**
 * Song after song until the set is done or somebody leaves. A song that cannot be played is told, passed over and
 * counted; it is tried again in the next round, since a disk may have been put in meanwhile.
 */
export async function runShow(
  read: ReadSet,
  flags: ShowFlags,
  files: ShowMemory,
  stage: ShowStage,
  clock: ShowClock,
  report: ShowReport,
  fitSong?: FitSong,
  inputs?: RunInputs,
): Promise<void> {
  const { set } = read;
  const songs = new Map<number, PreparedPlay | Refusal>();
  /** Songs begun: what is written to files is numbered by it. */
  let nth = 0;
  /** Songs whose settings were kept while this show runs. */
  const changed = new Map<number, ShowSong>();
  const songAt = (song: number): ShowSong => changed.get(song) ?? set.songs[song]!;
  // Another machine's Start begins a song at its beginning, whatever was cut off before.
  const prepare = (song: number, startMicros = 0): PreparedPlay | Refusal =>
    prepareSong(songAt(song), flags.follow === undefined ? startMicros : 0);
  const canPlay = (song: number): boolean => {
    if (!songs.has(song)) songs.set(song, prepare(song));
    return !(songs.get(song) instanceof Refusal);
  };

  function prepareSong(song: ShowSong, startMicros: number): PreparedPlay | Refusal {
    try {
      const playFlags = songFlags(song, read, flags);
      const loaded = loadSong(song.path);
      const prepared = preparePlay(song.fits && fitSong ? fitSong(loaded, playFlags) : loaded, playFlags);
      const { options } = prepared;
      refuseOwnFiles(
        options,
        set.songs.map(({ path }) => path),
        flags.follow,
      );
      const start = Math.max(
        options.startMicros ?? 0,
        startMicros < options.durationMicros ? startMicros : 0,
      );
      const setup = [...(options.setup ?? []), ...songSetup(song)];
      const own = { ...options, setup, startMicros: start };
      return { ...prepared, options: inputs?.optionsOf(own, loaded.timeline) ?? own };
    } catch (error) {
      if (error instanceof Refusal) return error;
      throw error;
    }
  }

  const kept = flags.again ? undefined : files.readState();
  let place: Place = kept?.place ?? FIRST_PLACE;
  let resumeAt = kept?.positionMicros ?? 0;
  if (kept !== undefined) stage.tell(`going on where the show stopped: ${basename(kept.song)}`);
  let isFirst = true;
  for (;;) {
    const now = clock.now();
    const turn = turnAt(set, place, now.getHours() * 60 + now.getMinutes(), canPlay);
    for (const song of turn.skipped) {
      const why = (songs.get(song) as Refusal).message;
      if (report.skipped(set.songs[song]!.path, why)) {
        stage.tell(`passed over: ${why}`);
        files.journal(`passed over: ${why}`, now);
      }
    }
    if (turn.kind === 'nothing') {
      const next = 'mend one of them; `wirepit check` says more';
      throw new Refusal(`none of its ${set.songs.length} songs can be played`, read.path, next);
    }
    if (turn.kind === 'done') return files.writeState({ place: FIRST_PLACE, song: '', positionMicros: 0 });
    if (turn.kind === 'closed') {
      songs.clear();
      const words = `closed: the next section opens in ${turn.minutes} min`;
      if ((await stage.wait({ words, seconds: LOOK_AGAIN_SECONDS, forKey: false })) === 'quit') return;
      continue;
    }
    const song = songAt(turn.song);
    // Only the very song that was cut off is gone on with in the middle.
    const startMicros =
      isFirst && kept?.song === song.path && samePlace(kept.place, turn.place) ? resumeAt : 0;
    const prepared = startMicros > 0 ? prepare(turn.song, startMicros) : songs.get(turn.song)!;
    songs.clear();
    if (prepared instanceof Refusal) continue;
    const { before } = song;
    const forKey = before.waitsForKey && !flags.unattended;
    let leave: Leave = 'ended';
    if (forKey || (!isFirst && before.seconds > 0)) {
      const title = prepared.loaded.timeline.title || basename(song.path);
      leave = await stage.wait({ words: `next: ${title}`, seconds: before.seconds, forKey });
    }
    isFirst = false;
    resumeAt = 0;
    if (leave === 'ended') leave = await playOne(turn.song, turn.place, prepared, song);
    if (leave === 'quit') return;
    refuseEndedClock(inputs);
    place =
      leave === 'ended'
        ? placeAfter(set, turn.place)
        : placeBeside(set, turn.place, leave === 'next' ? 1 : -1);
  }

  async function playOne(number: number, at: Place, prepared: PreparedPlay, song: ShowSong): Promise<Leave> {
    const keep = (positionMicros: number): void =>
      files.writeState({
        place: at,
        song: song.path,
        positionMicros: Math.max(0, Math.round(positionMicros)),
      });
    let keptMicros = prepared.options.startMicros ?? 0;
    const begun = clock.now();
    let hasBegun = false;
    // Once the music runs: a disk may take a tenth of a second, and nobody need wait for it.
    const begin = (): void => {
      if (hasBegun) return;
      hasBegun = true;
      keep(keptMicros);
      files.journal(`began: ${basename(song.path)}`, begun);
    };
    const next = nextTitle(placeAfter(set, at));
    try {
      nth += 1;
      const own = { ...prepared, options: forNthSong(prepared.options, nth) };
      const turn = {
        set,
        song: number,
        place: at,
        next,
        prepared: own,
        befell: (words: string) => files.journal(`${words}: ${basename(song.path)}`, clock.now()),
        keep: (settings: SongSettings) => keepSettingsOf(number, settings),
      };
      const leave = await stage.play(turn, (songMicros) => {
        begin();
        if (Math.abs(songMicros - keptMicros) < KEEP_EVERY_MICROS) return;
        keptMicros = songMicros;
        keep(songMicros);
      });
      begin();
      report.played(song.path, begun, clock.now(), leave);
      files.journal(`${HOW[leave]}: ${basename(song.path)}`, clock.now());
      if (files.trouble !== undefined) stage.tell(`the show's place is not kept: ${files.trouble}`);
      return leave;
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      // A port that cannot be opened at all, say: the next song may be for another one.
      if (!hasBegun) keep(keptMicros);
      if (report.skipped(song.path, error.message)) stage.tell(`passed over: ${error.message}`);
      files.journal(`passed over: ${error.message}`, clock.now());
      await clock.wait(AFTER_REFUSAL_MS);
      return 'ended';
    }
  }

  function keepSettingsOf(song: number, settings: SongSettings): string {
    changed.set(song, { ...songAt(song), ...settingsOf(settings) });
    try {
      const path = keepSettings(read.path, read.files[song]!, settings);
      return `kept for this song in ${basename(path)}`;
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      return `kept while this show runs, but not for the next one: ${error.message}`;
    }
  }

  function nextTitle(from: Place): string | undefined {
    const now = clock.now();
    const turn = turnAt(set, from, now.getHours() * 60 + now.getMinutes(), () => true);
    return turn.kind === 'song' ? basename(set.songs[turn.song]!.path) : undefined;
  }
}

/** Without its clock no song of the set would ever begin. */
function refuseEndedClock(inputs: RunInputs | undefined): void {
  if (inputs?.clockHasEnded !== true) return;
  throw new Refusal('nothing more comes from the clock that is followed', '--follow', 'start the show anew');
}

const HOW: Readonly<Record<Leave, string>> = {
  ended: 'played to its end',
  next: 'left for the next',
  previous: 'left for the one before',
  quit: 'broken off',
};

/** A set of songs that are all refused must not turn as fast as it can. */
const AFTER_REFUSAL_MS = 2000;

function samePlace(a: Place, b: Place): boolean {
  return a.round === b.round && a.turn === b.turn;
}
