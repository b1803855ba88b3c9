import { setTimeout as after } from 'node:timers/promises';
import type { Worker } from 'node:worker_threads';
import { Slot } from '../../core/observe/observed-state.ts';
import { LONGEST_LEAVE_MS } from '../../engine/run/longest-leave.ts';
import type { Player } from '../../engine/run/player.ts';
import type { PlayerOptions } from '../../engine/run/player-options.ts';
import { startWorkerPlayer } from '../../engine/run/worker-player.ts';
import type { InkStage } from '../../screen/ink-stage.ts';
import type { ScreenOutcome } from '../../screen/state/screen-state.ts';
import type { ThemeChoice } from '../../screen/theme/theme.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { checkOptionsOf } from '../options/check-options.ts';
import type { PlayFlags } from '../options/play-flags.ts';
import type { SongSet } from '../options/song-set.ts';
import { jsonText } from '../output/json-text.ts';
import { troubleTeller } from '../output/tell-troubles.ts';
import { EXIT } from '../trouble.ts';
import { clockEndedLine } from './clock-to-follow.ts';
import { forNthSong } from './for-nth-song.ts';
import { LeftFromBefore } from './left-from-before.ts';
import { loadToPlay } from './load-to-play.ts';
import { openingWords } from './opening-words.ts';
import { playReport } from './play-report.ts';
import { type PreparedPlay, planPlay, preparePlay } from './prepare-play.ts';
import { refuseOwnFiles } from './refuse-own-files.ts';
import type { ScreenRun } from './screen-run.ts';
import { SongChoices } from './song-choices.ts';
import { songViewOf } from './song-view-of.ts';
import { unsentLine } from './unsent.ts';

/** A song and how the screen is to begin with it. */
interface Turn {
  readonly prepared: PreparedPlay;
  /** Waits, stopped, with the list of songs open. */
  readonly choosing: boolean;
  /** Said as the screen opens, in place of the song's opening words. */
  readonly notice?: string;
  /** The song that should have come and why it does not. */
  readonly refused?: { readonly path: string; readonly why: string };
}

/** Song after song on a terminal that is taken already, until the person leaves or the last song has ended. */
export async function playOnTerminal(
  { set, flags, intent, show, inputs, taken: { terminal, theme } }: ScreenRun,
  thread: Worker,
): Promise<void> {
  const choices = new SongChoices(set.paths, checkOptionsOf(flags, intent.traits));
  const reports: string[] = [];
  const unsent: string[] = [];
  const left = new LeftFromBefore();
  /** What went wrong beside the music, for when the terminal is given back. */
  const tellings: (() => void)[] = [];
  let stage: InkStage | undefined;
  let ready: Worker | undefined = thread;
  let nth = 0;
  try {
    // Ink and React take a fifth of a second to load: before the music, lest its first notes come late for it.
    stage = (await import('../../screen/ink-stage.ts')).inkStage(terminal);
    let turn: Turn | undefined = { prepared: planPlay(intent), choosing: !set.playFirst };
    while (turn !== undefined) {
      const { prepared } = turn;
      const staysOpen = flags.stay === true && songAfter(prepared, set) === undefined;
      const own = forNthSong({ ...prepared.options, autoPlay: !turn.choosing, staysOpen }, nth + 1);
      const { timeline } = prepared.loaded;
      const options = left.with(inputs?.optionsOf(own, timeline) ?? own);
      const player = await startChecked(options, set.paths, flags.follow, ready).catch((error: unknown) => {
        // Refused as the program starts, it ends; later there is a list of songs to go back to.
        if (show.player === undefined || !(error instanceof Refusal)) throw error;
        return error;
      });
      ready = undefined; // a thread plays one song
      if (player instanceof Refusal) {
        turn = waitingTurn(prepared, player.message);
        continue;
      }
      show.player = player;
      tellings.push(troubleTeller(player));
      const outcome = await showSong(player, stage, theme, turn, choices, flags);
      left.ended(player, options);
      // Whatever only waited has left no file, and its number is free for the next song.
      const sent = player.observed.numbers[Slot.bytesSent]! > 0;
      if (sent) nth += 1;
      if (!turn.choosing || sent) reports.push(reportOf({ ...prepared, options }, player));
      const ended =
        outcome.kind === 'ended' ? clockEndedLine(flags.follow, player.observed, timeline) : undefined;
      for (const line of [unsentLine(options.outputs, player.observed), ended]) {
        if (line !== undefined) unsent.push(line);
      }
      turn = await nextTurn(outcome, prepared, set, flags);
    }
  } finally {
    choices.close();
    await show.player?.close();
    terminal.restore();
    stage?.close();
  }
  if (unsent.length > 0) process.exitCode ??= EXIT.problems;
  for (const tell of tellings) tell();
  for (const line of unsent) process.stderr.write(`${line}\n`);
  if (flags.json) process.stdout.write(reports.join(''));
}

async function startChecked(
  options: PlayerOptions,
  sources: readonly string[],
  follow: string | undefined,
  thread: Worker | undefined,
): Promise<Player> {
  refuseOwnFiles(options, sources, follow);
  return startWorkerPlayer(options, thread);
}

async function showSong(
  player: Player,
  stage: InkStage,
  theme: ThemeChoice,
  { prepared, choosing, refused, notice = openingWords(prepared).join('; ') }: Turn,
  choices: SongChoices,
  flags: PlayFlags,
): Promise<ScreenOutcome> {
  const outcome = await stage.run({
    player,
    theme,
    song: { ...songViewOf(prepared), place: choices.placeOf(prepared.loaded.path) },
    songs: () => choices.list(),
    startWithList: choosing,
    staysOpen: flags.stay === true,
    stuckAfterMicros: flags.stuckAfter * 1e6,
    ...(notice === '' ? {} : { notice }),
    ...(refused === undefined ? {} : { refused }),
  });
  // Whoever left has told the player to quit. To say it again, as `close` does, would take back what still
  // waits of the silence.
  await Promise.race([player.ended, after(LONGEST_LEAVE_MS, undefined, { ref: false })]);
  await player.close();
  const end = await player.ended;
  if (end.kind === 'fault') throw end.error;
  return outcome;
}

/** The song that is played after this one without being asked for; of a folder's songs none. */
function songAfter({ loaded }: PreparedPlay, set: SongSet): string | undefined {
  return set.playFirst ? set.paths[set.paths.indexOf(loaded.path) + 1] : undefined;
}

/** What comes after a song: the chosen one, the next of those named, the list again, or nothing. */
async function nextTurn(
  outcome: ScreenOutcome,
  prepared: PreparedPlay,
  set: SongSet,
  flags: PlayFlags,
): Promise<Turn | undefined> {
  if (outcome.kind === 'quit') return undefined;
  const { path } = prepared.loaded;
  const next = outcome.kind === 'song' ? outcome.path : songAfter(prepared, set);
  if (next === undefined) return set.playFirst ? undefined : { prepared, choosing: true };
  try {
    return {
      prepared: preparePlay(await loadToPlay(next, flags), flagsFor(next, path, flags)),
      choosing: false,
    };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { prepared, choosing: true, refused: { path: next, why: error.message } };
  }
}

/** The list again, for a song whose port or record was refused: on the mock wire, which nothing can refuse. */
function waitingTurn({ loaded, flags }: PreparedPlay, why: string): Turn {
  const { map: _map, record: _record, thruFrom: _from, thruChannel: _channel, ...others } = flags;
  return {
    prepared: preparePlay(loaded, { ...others, port: [] }),
    choosing: true,
    notice: 'on the mock wire meanwhile',
    refused: { path: loaded.path, why },
  };
}

/** Positions on the command line belong to the song they were given with. */
function flagsFor(path: string, given: string, flags: PlayFlags): PlayFlags {
  if (path === given) return flags;
  const { from: _from, to: _to, loop: _loop, ...others } = flags;
  return others;
}

function reportOf({ loaded, options, flags }: PreparedPlay, { observed }: Player): string {
  const { path, song, timeline } = loaded;
  const beside = { playAlong: options.playAlong, follow: flags.follow };
  return `${jsonText(playReport(path, song, timeline, observed, options.outputs, beside))}\n`;
}
