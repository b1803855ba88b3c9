import type { Worker } from 'node:worker_threads';
import { Slot } from '../core/observe/observed-state.ts';
import { transportState } from '../core/observe/song-position.ts';
import type { Player } from '../engine/player.ts';
import { installWaysOut } from '../engine/ways-out.ts';
import { startWorkerPlayer } from '../engine/worker-player.ts';
import { openScreen, type Screen } from '../screen/ink-frame/open-screen.ts';
import { runScreen } from '../screen/run-screen.tsx';
import type { ScreenOutcome } from '../screen/state/screen-state.ts';
import { colourDepthFrom } from '../screen/terminal/colour-depth.ts';
import { themeFromEnvironment } from '../screen/theme/theme.ts';
import { loadSong } from './load-song.ts';
import type { PlayFlags } from './play-options.ts';
import { playReport } from './play-report.ts';
import { type PreparedPlay, preparePlay } from './prepare-play.ts';
import { SongChoices } from './song-choices.ts';
import type { SongSet } from './song-set.ts';
import { songViewOf } from './song-view-of.ts';
import { troubleOf } from './trouble.ts';

/** What is playing now; the ways out and the terminal's events need to reach it. */
interface Show {
  player: Player | undefined;
  /** It was playing when the process was stopped by job control. */
  resume: boolean;
}

/** The screen, song after song, until the person leaves or the last song has ended. */
export async function playOnScreen(set: SongSet, flags: PlayFlags, thread?: Worker): Promise<void> {
  // What cannot be opened is refused before the terminal is taken.
  let ready = thread;
  let prepared = preparePlay(loadSong(set.paths[0]!), flags);
  const theme = themeFromEnvironment(process.env, {
    ...(flags.ascii ? { ascii: true } : {}),
    ...(flags.background === undefined ? {} : { background: flags.background }),
  });
  const show: Show = { player: undefined, resume: false };
  const screen = openScreen({
    input: process.stdin,
    output: process.stdout as Parameters<typeof openScreen>[0]['output'],
    depth: colourDepthFrom(process.env),
    isAscii: theme.ascii,
    beforeStop: () => pauseForStop(show),
    onContinued: () => {
      if (show.resume) show.player?.send({ kind: 'play' });
    },
  });
  const removeWaysOut = installWaysOut({
    quit: async () => show.player?.close(),
    restore: () => screen.restore(),
    exit: (code) => process.exit(code),
    report: (error) => process.stderr.write(`${troubleOf(error, process.env.WIREPIT_TRACE === '1').line}\n`),
  });
  const choices = new SongChoices(set.paths, flags);
  const reports: string[] = [];
  try {
    let choosing = !set.playFirst;
    for (;;) {
      const { outcome, player } = await playOne(show, screen, prepared, {
        theme,
        choices,
        choosing,
        thread: ready,
      });
      ready = undefined; // a thread plays one song
      reports.push(reportOf(prepared, player));
      const next = nextSong(outcome, prepared, set, flags);
      if (next === undefined) break;
      choosing = next.choosing;
      prepared = preparePlay(loadSong(next.path), flagsFor(next.path, prepared, flags));
    }
  } finally {
    choices.close();
    screen.close();
    removeWaysOut();
  }
  if (flags.json) process.stdout.write(reports.join(''));
}

interface OneSong {
  readonly theme: Parameters<typeof runScreen>[0]['theme'];
  readonly choices: SongChoices;
  /** Waits, stopped, with the list of songs open. */
  readonly choosing: boolean;
  /** A sending thread that waits for work. */
  readonly thread: Worker | undefined;
}

async function playOne(
  show: Show,
  screen: Screen,
  prepared: PreparedPlay,
  { theme, choices, choosing, thread }: OneSong,
): Promise<{ outcome: ScreenOutcome; player: Player }> {
  const player = await startWorkerPlayer({ ...prepared.options, autoPlay: !choosing }, thread);
  show.player = player;
  let drawn = -1;
  screen.setLive(() => {
    const revision = player.observed.numbers[Slot.revision]!;
    const moves = revision !== drawn || transportState(player.observed) === 'playing';
    drawn = revision;
    return moves;
  });
  const outcome = await runScreen({
    player,
    screen,
    theme,
    song: songViewOf(prepared),
    songs: () => choices.list(),
    startWithList: choosing,
  });
  await player.close();
  const end = await player.ended;
  if (end.kind === 'fault') throw end.error;
  return { outcome, player };
}

/** What comes after a song: the chosen one, the next of those named, the list again, or nothing. */
function nextSong(
  outcome: ScreenOutcome,
  { loaded }: PreparedPlay,
  set: SongSet,
  flags: PlayFlags,
): { path: string; choosing: boolean } | undefined {
  if (outcome.kind === 'quit') return undefined;
  if (outcome.kind === 'song') return { path: outcome.path, choosing: false };
  const next = set.paths[set.paths.indexOf(loaded.path) + 1];
  if (set.playFirst && next !== undefined) return { path: next, choosing: false };
  return set.playFirst && !flags.stay ? undefined : { path: loaded.path, choosing: true };
}

/** Positions on the command line belong to the song they were given with. */
function flagsFor(path: string, { loaded }: PreparedPlay, flags: PlayFlags): PlayFlags {
  if (path === loaded.path) return flags;
  const { from: _from, loop: _loop, ...others } = flags;
  return others;
}

function reportOf({ loaded }: PreparedPlay, player: Player): string {
  return `${JSON.stringify(playReport(loaded.path, loaded.song, loaded.timeline, player.observed))}\n`;
}

/** Job control is about to stop every thread: first nothing may sound. */
async function pauseForStop(show: Show): Promise<void> {
  const { player } = show;
  show.resume = player !== undefined && transportState(player.observed) === 'playing';
  if (player === undefined || !show.resume) return;
  player.send({ kind: 'pause' });
  for (let waited = 0; waited < STOP_LIMIT_MS && transportState(player.observed) === 'playing'; waited += 5) {
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
  const queuedMicros = player.observed.numbers[Slot.wireFreeMicros]! - player.nowMicros();
  await new Promise((resolve) =>
    setTimeout(resolve, Math.min(STOP_LIMIT_MS, Math.max(0, queuedMicros / 1000))),
  );
}

const STOP_LIMIT_MS = 400;
