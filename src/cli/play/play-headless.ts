import type { Worker } from 'node:worker_threads';
import { STUCK_LIMITS } from '../../core/observe/stuck-notes.ts';
import type { Player, PlayerEnd } from '../../engine/run/player.ts';
import { runVirtualPlayer } from '../../engine/run/virtual-player.ts';
import { startWorkerPlayer } from '../../engine/run/worker-player.ts';
import { installWaysOut } from '../../engine/watch/ways-out.ts';
import { isStandardInput } from '../../ports/input-path.ts';
import { describeChanges } from '../../screen/plain/describe-changes.ts';
import { statusLine } from '../../screen/plain/status-line.ts';
import { PortWatch } from '../../screen/scene/port-watch.ts';
import type { SongView } from '../../screen/state/song-view.ts';
import type { PlayFlags } from '../options/play-flags.ts';
import { jsonText } from '../output/json-text.ts';
import { troubleTeller } from '../output/tell-troubles.ts';
import { forTerminal } from '../output/terminal-text.ts';
import { EXIT, troubleOf } from '../trouble.ts';
import { clockEndedLine } from './clock-to-follow.ts';
import type { LeftFromBefore } from './left-from-before.ts';
import { openingWords } from './opening-words.ts';
import type { PlainKeyboard } from './plain-keyboard.ts';
import { playReport } from './play-report.ts';
import type { PreparedPlay } from './prepare-play.ts';
import { songViewOf } from './song-view-of.ts';
import { unsentLine } from './unsent.ts';

/**
 * Plays one song without a screen, telling how it goes on standard error; the report goes to standard output.
 * @param left from the songs before, and for those that follow
 * @returns how it ended; a fault is thrown. The exit code remembers an output that was lost at the end.
 */
export async function playHeadless(
  asked: PreparedPlay,
  flags: PlayFlags,
  left: LeftFromBefore,
  thread?: Worker,
): Promise<'ended' | 'quit'> {
  const prepared = { ...asked, options: left.with(asked.options) };
  const virtual = flags.clock === 'virtual';
  for (const words of openingWords(prepared)) process.stderr.write(`${words}\n`);
  // Before anything sounds: the thread plays from the moment it is ready. Until we hold the player, the exit
  // handler of `startWorkerPlayer` sees to the silence.
  let player: Player | undefined;
  let keyboard: PlainKeyboard | undefined;
  const removeWaysOut = installWaysOut({
    quit: async () => player?.close(),
    restore: () => keyboard?.close(),
    exit: (code) => process.exit(code),
    report: (error) => process.stderr.write(`${troubleOf(error, false).line}\n`),
  });
  try {
    player = await (virtual
      ? runVirtualPlayer(prepared.options)
      : startWorkerPlayer(prepared.options, thread));
    if (virtual) return await untilEnded(player, prepared, flags, left, () => () => {});
    const view = songViewOf(prepared);
    keyboard =
      flags.plain && !isStandardInput(flags.follow) ? await plainKeyboard(player, view, flags) : undefined;
    return await untilEnded(player, prepared, flags, left, (tellTroubles) =>
      tellProgress(player!, view, flags, keyboard, tellTroubles),
    );
  } finally {
    keyboard?.close();
    removeWaysOut();
  }
}

async function untilEnded(
  player: Player,
  prepared: PreparedPlay,
  flags: PlayFlags,
  left: LeftFromBefore,
  tell: (tellTroubles: () => void) => () => void,
): Promise<'ended' | 'quit'> {
  const tellTroubles = troubleTeller(player);
  const stopTelling = tell(tellTroubles);
  const end: PlayerEnd = await player.ended;
  stopTelling();
  await player.close();
  left.ended(player, prepared.options);
  tellTroubles();
  if (end.kind === 'fault') throw end.error;
  const { path, song, timeline } = prepared.loaded;
  const unsent = unsentLine(prepared.options.outputs, player.observed);
  const ended = end.kind === 'ended' ? clockEndedLine(flags.follow, player.observed, timeline) : undefined;
  for (const line of [unsent, ended]) {
    if (line === undefined) continue;
    process.stderr.write(`${line}\n`);
    process.exitCode ??= EXIT.problems;
  }
  if (flags.json) {
    const { outputs, playAlong } = prepared.options;
    const beside = { playAlong, follow: flags.follow };
    const report = playReport(path, song, timeline, player.observed, outputs, beside);
    process.stdout.write(`${jsonText(report)}\n`);
  }
  return end.kind;
}

/** The keys of the screen, for somebody at a terminal who wants words; loaded only for them. */
async function plainKeyboard(
  player: Player,
  view: SongView,
  flags: PlayFlags,
): Promise<PlainKeyboard | undefined> {
  const { PlainKeyboard, hasKeys } = await import('./plain-keyboard.ts');
  return hasKeys() ? new PlainKeyboard(player, view, flags.stuckAfter * 1e6, say) : undefined;
}

/** Words for a screen reader soon after something changed, or a line for a log now and then. */
function tellProgress(
  player: Player,
  view: SongView,
  flags: PlayFlags,
  keyboard: PlainKeyboard | undefined,
  tellTroubles: () => void,
): () => void {
  const limits = { ...STUCK_LIMITS, longMicros: flags.stuckAfter * 1e6 };
  const changes = describeChanges(view, limits);
  const ports = new PortWatch();
  /** A port that goes, or a record that breaks off, is told at once in every view. */
  const look = setInterval(() => {
    const [{ observed }, nowMicros] = [player, player.nowMicros()];
    const lines = flags.plain
      ? changes.since(observed, nowMicros, keyboard?.hasAnswered ?? false)
      : ports.look({ observed, listen: undefined, song: view, nowMicros });
    for (const line of lines) say(line);
    tellTroubles();
  }, WORDS_EVERY_MS);
  if (flags.plain) return () => clearInterval(look);
  const tell = (): void => say(statusLine(player.observed, view, player.nowMicros(), limits));
  tell();
  const timer = setInterval(tell, STATUS_EVERY_MS);
  return () => {
    clearInterval(look);
    clearInterval(timer);
    tell();
  };
}

function say(line: string): void {
  process.stderr.write(`${forTerminal(line, process.stderr)}\n`);
}

const STATUS_EVERY_MS = 5000;
const WORDS_EVERY_MS = 500;
