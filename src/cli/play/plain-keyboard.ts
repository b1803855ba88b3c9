import { readFileSync } from 'node:fs';
import type { Player } from '../../engine/run/player.ts';
import { PlainKeys } from '../../screen/plain/plain-keys.ts';
import type { ScreenOutcome } from '../../screen/state/screen-state.ts';
import type { SongView } from '../../screen/state/song-view.ts';
import { Keyboard, type TerminalInputStream } from '../../screen/terminal/keyboard.ts';
import { Suspension } from '../../screen/terminal/suspension.ts';
import { pauseForStop } from './pause-for-stop.ts';
import type { Show } from './screen-run.ts';

/** What only the show knows how to do. */
export interface InSet {
  /** Keeps the settings for the song that is on; says what became of it. */
  keepSettings(): string;
  /** Somebody leaves the song, for another one or for good. */
  onOutcome(outcome: ScreenOutcome): void;
}

/** Gives a terminal's keys to a song that plays without a screen, as long as the terminal is ours. */
export class PlainKeyboard {
  readonly #keyboard: Keyboard;
  readonly #suspension: Suspension;
  #pressedAtMicros = Number.NEGATIVE_INFINITY;

  readonly #player: Player;

  /**
   * @param say told the answer to each key
   * @param inSet what a song of a set can be asked besides
   */
  constructor(
    player: Player,
    view: SongView,
    longMicros: number,
    say: (line: string) => void,
    inSet?: InSet,
  ) {
    this.#player = player;
    const keys = new PlainKeys(player, view, longMicros);
    const show: Show = { player, resume: false };
    this.#keyboard = new Keyboard(process.stdin as TerminalInputStream, {
      input: (input) => {
        if (input.kind !== 'key') return;
        this.#pressedAtMicros = player.nowMicros();
        const { line, ask, outcome } = keys.press(input.key.name);
        say(ask === 'keep-settings' && inSet !== undefined ? inSet.keepSettings() : line);
        if (outcome !== undefined) inSet?.onOutcome(outcome);
        if (ask === 'suspend') void this.#suspension.stop();
      },
      // A line that drops is told by a signal; an input at its end has no more keys, and the music goes on.
      lost: () => this.close(),
    });
    this.#suspension = new Suspension({
      beforeStop: () => pauseForStop(show),
      leave: () => this.#keyboard.close(),
      comeBack: () => {
        this.#keyboard.open();
        if (show.resume) player.send({ kind: 'play' });
        show.resume = false;
      },
    });
    this.#keyboard.open();
    this.#suspension.install();
  }

  /** Whether a key was answered just now, so that what it did need not be told again. */
  get hasAnswered(): boolean {
    return this.#player.nowMicros() - this.#pressedAtMicros < ANSWERED_MICROS;
  }

  /** May be called twice. */
  close(): void {
    this.#suspension.uninstall();
    this.#keyboard.close();
  }
}

/** Changes are looked for every half second. */
const ANSWERED_MICROS = 700_000;

/**
 * Whether the keys of standard input are ours to take: a job in the background that touched its terminal would be
 * stopped. Linux tells a process's group and its terminal's (proc manual page, /proc/pid/stat); elsewhere we are
 * taken to be in front.
 */
export function hasKeys(): boolean {
  if (!process.stdin.isTTY) return false;
  try {
    const fields = readFileSync('/proc/self/stat', 'latin1')
      .replace(/^.*\) /s, '')
      .split(' ');
    return fields[2] === fields[5];
  } catch {
    return true;
  }
}
