import { setTimeout as after } from 'node:timers/promises';
import type { Worker } from 'node:worker_threads';
import { Slot } from '../core/observe/observed-state.ts';
import { transportState } from '../core/observe/song-position.ts';
import type { Player } from '../engine/player.ts';
import { startWorkerPlayer } from '../engine/worker-player.ts';
import { Refusal } from '../files/refusal.ts';
import type { InkStage } from '../screen/ink-stage.ts';
import { openingFrame } from '../screen/opening-frame.ts';
import type { ScreenOutcome } from '../screen/state/screen-state.ts';
import type { ThemeChoice } from '../screen/theme/theme.ts';
import { forNthSong } from './for-nth-song.ts';
import { loadSong } from './load-song.ts';
import { openingWords } from './opening-words.ts';
import type { PlayFlags } from './play-options.ts';
import { playReport } from './play-report.ts';
import { intendPlay, type PreparedPlay, planPlay, preparePlay } from './prepare-play.ts';
import { SongChoices } from './song-choices.ts';
import type { SongSet } from './song-set.ts';
import { plainSongView, songViewOf } from './song-view-of.ts';
import { takeTerminal } from './take-terminal.ts';
import { EXIT } from './trouble.ts';
import { unsentLine } from './unsent.ts';

/** What is playing now; the ways out and the terminal's events need to reach it. */
interface Show {
  player: Player | undefined;
  /** It was playing when the process was stopped by job control. */
  resume: boolean;
}

/** A song and how the screen is to begin with it. */
interface Turn {
  readonly prepared: PreparedPlay;
  /** Waits, stopped, with the list of songs open. */
  readonly choosing: boolean;
  /** Why the song that was chosen is not the one that opens. */
  readonly notice?: string;
}

/** The screen, song after song, until the person leaves or the last song has ended. */
export async function playOnScreen(set: SongSet, flags: PlayFlags, thread?: Worker): Promise<void> {
  // What cannot be opened is refused before the terminal is taken.
  const intent = intendPlay(loadSong(set.paths[0]!), flags);
  const show: Show = { player: undefined, resume: false };
  const taken = takeTerminal(flags, {
    quit: async () => show.player?.close(),
    beforeStop: () => pauseForStop(show),
    onContinued: () => {
      if (show.resume) show.player?.send({ kind: 'play' });
    },
  });
  const { terminal, theme } = taken;
  const choices = new SongChoices(set.paths, {
    traits: intent.traits,
    allowSysEx: flags.allowSysex ?? false,
    settleMicros: flags.settle * 1000,
  });
  const reports: string[] = [];
  const unsent: string[] = [];
  let stage: InkStage | undefined;
  let ready = thread;
  let nth = 0;
  try {
    terminal.show(openingFrame(plainSongView(intent), theme));
    terminal.drawNow();
    let turn: Turn | undefined = { prepared: planPlay(intent), choosing: !set.playFirst };
    while (turn !== undefined) {
      const { prepared } = turn;
      const options = forNthSong({ ...prepared.options, autoPlay: !turn.choosing }, nth + 1);
      const starting = startWorkerPlayer(options, ready);
      ready = undefined; // a thread plays one song
      // Ink and React take a fifth of a second to load, while the music begins.
      const loading = import('../screen/ink-stage.ts');
      const player = await starting;
      show.player = player;
      stage ??= (await loading).inkStage(terminal);
      const outcome = await showSong(player, stage, theme, turn, choices, flags);
      // Whatever only waited has left no file, and its number is free for the next song.
      if (player.observed.numbers[Slot.bytesSent]! > 0) nth += 1;
      reports.push(reportOf({ ...prepared, options }, player));
      const line = unsentLine(options.outputs, player.observed);
      if (line !== undefined) unsent.push(line);
      turn = nextTurn(outcome, prepared, set, flags);
    }
  } finally {
    choices.close();
    await show.player?.close();
    taken.release();
    stage?.close();
  }
  if (unsent.length > 0) process.exitCode ??= EXIT.problems;
  for (const line of unsent) process.stderr.write(`${line}\n`);
  if (flags.json) process.stdout.write(reports.join(''));
}

async function showSong(
  player: Player,
  stage: InkStage,
  theme: ThemeChoice,
  { prepared, choosing, notice = openingWords(prepared).join('; ') }: Turn,
  choices: SongChoices,
  flags: PlayFlags,
): Promise<ScreenOutcome> {
  const outcome = await stage.run({
    player,
    theme,
    song: songViewOf(prepared),
    songs: () => choices.list(),
    startWithList: choosing,
    stuckAfterMicros: flags.stuckAfter * 1e6,
    ...(notice === '' ? {} : { notice }),
  });
  // Whoever left has told the player to quit. To say it again, as `close` does, would take back what still
  // waits of the silence.
  await Promise.race([player.ended, after(LEAVE_LIMIT_MS, undefined, { ref: false })]);
  await player.close();
  const end = await player.ended;
  if (end.kind === 'fault') throw end.error;
  return outcome;
}

/** What comes after a song: the chosen one, the next of those named, the list again, or nothing. */
function nextTurn(
  outcome: ScreenOutcome,
  prepared: PreparedPlay,
  set: SongSet,
  flags: PlayFlags,
): Turn | undefined {
  if (outcome.kind === 'quit') return undefined;
  const { path } = prepared.loaded;
  const after = set.playFirst ? set.paths[set.paths.indexOf(path) + 1] : undefined;
  const next = outcome.kind === 'song' ? outcome.path : after;
  if (next === undefined) return set.playFirst && !flags.stay ? undefined : { prepared, choosing: true };
  try {
    return { prepared: preparePlay(loadSong(next), flagsFor(next, path, flags)), choosing: false };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { prepared, choosing: true, notice: error.message };
  }
}

/** Positions on the command line belong to the song they were given with. */
function flagsFor(path: string, given: string, flags: PlayFlags): PlayFlags {
  if (path === given) return flags;
  const { from: _from, loop: _loop, ...others } = flags;
  return others;
}

function reportOf({ loaded, options }: PreparedPlay, { observed }: Player): string {
  const { path, song, timeline } = loaded;
  return `${JSON.stringify(playReport(path, song, timeline, observed, options.outputs))}\n`;
}

/** Job control is about to stop every thread: first nothing may sound. */
async function pauseForStop(show: Show): Promise<void> {
  const { player } = show;
  show.resume = player !== undefined && transportState(player.observed) === 'playing';
  if (player === undefined || !show.resume) return;
  player.send({ kind: 'pause' });
  for (
    let waited = 0;
    waited < STOP_LIMIT_MS && transportState(player.observed) === 'playing';
    waited += LOOK_MS
  ) {
    await new Promise((resolve) => setTimeout(resolve, LOOK_MS));
  }
  const queuedMicros = player.observed.numbers[Slot.wireFreeMicros]! - player.nowMicros();
  await new Promise((resolve) =>
    setTimeout(resolve, Math.min(STOP_LIMIT_MS, Math.max(0, queuedMicros / 1000))),
  );
}

/** As long as the ways out by signal take at most. */
const LEAVE_LIMIT_MS = 5000;
const STOP_LIMIT_MS = 400;
const LOOK_MS = 5;
