import type { StuckLimits } from '../../core/observe/stuck-notes.ts';
import type { Player } from '../../engine/run/player.ts';
import { installWaysOut } from '../../engine/watch/ways-out.ts';
import { isStandardInput } from '../../ports/input-path.ts';
import { describeChanges } from '../../screen/plain/describe-changes.ts';
import type { SongView } from '../../screen/state/song-view.ts';
import { InputListeners } from '../../screen/terminal/input-listeners.ts';
import { Keyboard, type TerminalInputStream } from '../../screen/terminal/keyboard.ts';
import { hasKeys, PlainKeyboard } from '../play/plain-keyboard.ts';
import { troubleOf } from '../trouble.ts';
import { keyOrTime } from './key-in-wait.ts';
import { settingsInForce } from './settings-in-force.ts';
import type { Leave, ShowStage, SongTurn } from './show-stage.ts';
import type { ShowFlags } from './song-flags.ts';
import { leaveOf, viewInSet } from './view-in-set.ts';

/** A song of a show that is told in words, with the keys of the screen where there is a terminal to take them. */
export interface SongInWords {
  /** How it was left by a key; undefined where none did. */
  left(): Leave | undefined;
  /** Gives the terminal back. May be called twice. */
  close(): void;
}

/** @param tell told each change, and the answer to each key, a line each */
export function songInWords(
  player: Player,
  songView: SongView,
  turn: SongTurn,
  flags: ShowFlags,
  limits: StuckLimits,
  tell: (line: string) => void,
): SongInWords {
  const view = viewInSet(songView, turn, flags);
  let left: Leave | undefined;
  const keyboard = takesKeys(flags)
    ? new PlainKeyboard(player, view, limits.longMicros, tell, {
        keepSettings: () => turn.keep(settingsInForce(player.observed)),
        onOutcome(outcome) {
          left = leaveOf(outcome);
        },
      })
    : undefined;
  const changes = describeChanges(view, limits);
  const look = (): void => {
    const isAnswered = keyboard?.hasAnswered ?? false;
    for (const line of changes.since(player.observed, player.nowMicros(), isAnswered)) tell(line);
  };
  look();
  const timer = setInterval(look, LOOK_EVERY_MS);
  return {
    left: () => left,
    close() {
      clearInterval(timer);
      keyboard?.close();
    },
  };
}

/** Between two songs, where there are keys (`takesKeys`). */
export async function waitInWords(
  { words, seconds, forKey }: Parameters<ShowStage['wait']>[0],
  flags: ShowFlags,
  tell: (line: string) => void,
): Promise<Leave> {
  const inputs = new InputListeners();
  const keyboard = new Keyboard(process.stdin as TerminalInputStream, {
    input: (input) => {
      if (input.kind === 'key') inputs.take(input);
    },
    lost: () => keyboard.close(),
  });
  const removeWaysOut = installWaysOut({
    quit: async () => {},
    restore: () => keyboard.close(),
    exit: (code) => process.exit(code),
    report: (error) => tell(troubleOf(error, false).line),
  });
  keyboard.open();
  try {
    const left = keyOrTime(inputs, flags.unattended ?? false, { seconds, forKey });
    // Not before the keys are listened to: whoever is told of one may press it at once.
    tell(forKey ? `${words}; space begins it` : `${words}, in ${Math.ceil(seconds)} s; space begins it now`);
    return await left;
  } finally {
    keyboard.close();
    removeWaysOut();
  }
}

/** Whether somebody can press keys here: standard input cannot be both the keyboard and the clock. */
export function takesKeys({ follow }: ShowFlags): boolean {
  return !isStandardInput(follow) && hasKeys();
}

const LOOK_EVERY_MS = 500;
