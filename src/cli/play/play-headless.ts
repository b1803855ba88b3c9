import type { Worker } from 'node:worker_threads';
import { STUCK_LIMITS } from '../../core/observe/stuck-notes.ts';
import type { Player, PlayerEnd } from '../../engine/run/player.ts';
import { runVirtualPlayer } from '../../engine/run/virtual-player.ts';
import { startWorkerPlayer } from '../../engine/run/worker-player.ts';
import { installWaysOut } from '../../engine/watch/ways-out.ts';
import { describeChanges } from '../../screen/plain/describe-changes.ts';
import { statusLine } from '../../screen/plain/status-line.ts';
import type { PlayFlags } from '../options/play-flags.ts';
import { EXIT, troubleOf } from '../trouble.ts';
import { openingWords } from './opening-words.ts';
import { playReport } from './play-report.ts';
import type { PreparedPlay } from './prepare-play.ts';
import { songViewOf } from './song-view-of.ts';
import { unsentLine } from './unsent.ts';

/**
 * Plays one song without a screen, telling how it goes on standard error; the report goes to standard output.
 * @returns how it ended; a fault is thrown. The exit code remembers an output that was lost at the end.
 */
export async function playHeadless(
  prepared: PreparedPlay,
  flags: PlayFlags,
  thread?: Worker,
): Promise<'ended' | 'quit'> {
  const virtual = flags.clock === 'virtual';
  for (const words of openingWords(prepared)) process.stderr.write(`${words}\n`);
  // Before anything sounds: the thread plays from the moment it is ready. Until we hold the player, the exit
  // handler of `startWorkerPlayer` sees to the silence.
  let player: Player | undefined;
  const removeWaysOut = installWaysOut({
    quit: async () => player?.close(),
    exit: (code) => process.exit(code),
    report: (error) => process.stderr.write(`${troubleOf(error, false).line}\n`),
  });
  try {
    player = await (virtual
      ? runVirtualPlayer(prepared.options)
      : startWorkerPlayer(prepared.options, thread));
    return await untilEnded(player, prepared, flags, virtual);
  } finally {
    removeWaysOut();
  }
}

async function untilEnded(
  player: Player,
  prepared: PreparedPlay,
  flags: PlayFlags,
  virtual: boolean,
): Promise<'ended' | 'quit'> {
  const stopTelling = virtual ? () => {} : tellProgress(player, prepared, flags);
  const end: PlayerEnd = await player.ended;
  stopTelling();
  await player.close();
  if (end.kind === 'fault') throw end.error;
  const unsent = unsentLine(prepared.options.outputs, player.observed);
  if (unsent !== undefined) {
    process.stderr.write(`${unsent}\n`);
    process.exitCode ??= EXIT.problems;
  }
  if (flags.json) {
    const { path, song, timeline } = prepared.loaded;
    process.stdout.write(
      `${JSON.stringify(playReport(path, song, timeline, player.observed, prepared.options.outputs))}\n`,
    );
  }
  return end.kind;
}

/** Words for a screen reader soon after something changed, or a line for a log now and then. */
function tellProgress(player: Player, prepared: PreparedPlay, flags: PlayFlags): () => void {
  const view = songViewOf(prepared);
  const limits = { ...STUCK_LIMITS, longMicros: flags.stuckAfter * 1e6 };
  const say = (line: string): void => void process.stderr.write(`${line}\n`);
  if (flags.plain) {
    const changes = describeChanges(view, limits);
    const timer = setInterval(() => {
      for (const line of changes.since(player.observed, player.nowMicros())) say(line);
    }, WORDS_EVERY_MS);
    return () => clearInterval(timer);
  }
  const tell = (): void => say(statusLine(player.observed, view, player.nowMicros(), limits));
  tell();
  const timer = setInterval(tell, STATUS_EVERY_MS);
  return () => {
    clearInterval(timer);
    tell();
  };
}

const STATUS_EVERY_MS = 5000;
const WORDS_EVERY_MS = 500;
