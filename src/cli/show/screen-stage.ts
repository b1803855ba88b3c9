import { setTimeout as after } from 'node:timers/promises';
import { startEngineThread } from '../../engine/run/engine-thread.ts';
import { LONGEST_LEAVE_MS } from '../../engine/run/longest-leave.ts';
import type { Player } from '../../engine/run/player.ts';
import { startWorkerPlayer } from '../../engine/run/worker-player.ts';
import type { InkStage } from '../../screen/ink-stage.ts';
import { wordsFrame } from '../../screen/large/words-frame.ts';
import { openingFrame } from '../../screen/opening-frame.ts';
import { troubleTeller } from '../output/tell-troubles.ts';
import { LeftFromBefore } from '../play/left-from-before.ts';
import { plainSongView } from '../play/plain-song-view.ts';
import { songViewOf } from '../play/song-view-of.ts';
import { unsentLine } from '../play/unsent.ts';
import { type TakenTerminal, takeTerminal } from '../take-terminal.ts';
import { keyOrTime } from './key-in-wait.ts';
import { lookAfterSong } from './look-after-song.ts';
import { settingsInForce } from './settings-in-force.ts';
import type { Leave, OpenStage, ShowStage, SongTurn } from './show-stage.ts';
import type { ShowFlags } from './song-flags.ts';
import { leaveOf, viewInSet } from './view-in-set.ts';
import { songOnOf, type Watchable } from './watchable.ts';

/** A show on a terminal: each song on the screen that `play` has, and words between songs. */
export class ScreenStage implements OpenStage {
  readonly #flags: ShowFlags;
  readonly #host: Watchable | undefined;
  readonly #taken: TakenTerminal;
  readonly #left = new LeftFromBefore();
  #stage: InkStage | undefined;
  #player: Player | undefined;
  /** Visitors read from afar; what was chosen stays for the next song. */
  #isLarge: boolean;
  /** What to say on the next screen, and when the terminal is given back. */
  #words: string[] = [];
  readonly #tellings: (() => void)[] = [];

  constructor(flags: ShowFlags, host: Watchable | undefined) {
    this.#flags = flags;
    this.#host = host;
    if (host !== undefined) host.tellTrouble = (words) => this.tell(words);
    this.#isLarge = flags.unattended ?? false;
    this.#taken = takeTerminal(flags, { quit: async () => this.#player?.close() });
  }

  async play(turn: SongTurn, onPosition: (songMicros: number) => void): Promise<Leave> {
    const { prepared } = turn;
    const options = this.#left.with(prepared.options);
    const { theme, terminal } = this.#taken;
    const isFirst = this.#stage === undefined;
    if (isFirst) {
      terminal.show(
        openingFrame(viewInSet(plainSongView(prepared), turn, this.#flags), theme, undefined, this.#isLarge),
      );
      terminal.drawNow();
    }
    const thread = isFirst ? startEngineThread() : undefined;
    this.#stage ??= (await import('../../screen/ink-stage.ts')).inkStage(terminal);
    const player = await startWorkerPlayer(options, thread);
    this.#player = player;
    this.#tellings.push(troubleTeller(player));
    const songOn = songOnOf(turn);
    this.#host?.begin(player, songOn);
    const view = songViewOf(prepared);
    // The screen has a log of its own; the journal is for whoever reads it the day after.
    const stopLooking = lookAfterSong(player, view, options.startMicros ?? 0, {
      onPosition,
      onNews: turn.befell,
    });
    try {
      const outcome = await this.#stage.run({
        player,
        theme,
        song: viewInSet(view, turn, this.#flags),
        stuckAfterMicros: this.#flags.stuckAfter * 1e6,
        startLarge: this.#isLarge,
        onLarge: (isLarge) => {
          this.#isLarge = isLarge;
        },
        keepSettings: () => turn.keep(settingsInForce(player.observed)),
        notice: [...this.#words.splice(0), songOn.words].join('; '),
      });
      // Whoever left has told the player to quit: to say it again would take back what waits of the silence.
      await Promise.race([player.ended, after(LONGEST_LEAVE_MS, undefined, { ref: false })]);
      await player.close();
      this.#left.ended(player, options);
      const end = await player.ended;
      if (end.kind === 'fault') throw end.error;
      const unsent = unsentLine(options.outputs, player.observed);
      if (unsent !== undefined) this.#tellings.push(() => void process.stderr.write(`${unsent}\n`));
      return leaveOf(outcome);
    } finally {
      stopLooking();
      this.#host?.songOver();
      this.#player = undefined;
    }
  }

  async wait({ words, seconds, forKey }: Parameters<ShowStage['wait']>[0]): Promise<Leave> {
    this.#host?.tell(words);
    const { terminal, theme } = this.#taken;
    const isVisitor = this.#flags.unattended ?? false;
    const until = performance.now() + seconds * 1000;
    const secondsLeft = () => Math.max(0, Math.ceil((until - performance.now()) / 1000));
    const text = () => (forKey ? `${words}; space begins it` : `${words}, in ${secondsLeft()} s`);
    const hint = isVisitor ? ' space now' : ' space now  N P other song  q quit';
    let shown = -1;
    terminal.show(wordsFrame(text, hint, theme, this.#isLarge));
    terminal.setLive(() => {
      const isNew = secondsLeft() !== shown;
      shown = secondsLeft();
      return isNew;
    });
    return keyOrTime(terminal.inputs, isVisitor, { seconds, forKey });
  }

  tell(words: string): void {
    this.#host?.tell(words);
    this.#words.push(words);
    this.#tellings.push(() => void process.stderr.write(`${words}\n`));
  }

  /** Gives the terminal back, and tells below what there was to tell. */
  async close(): Promise<void> {
    await this.#player?.close();
    this.#taken.release();
    this.#stage?.close();
    for (const tell of this.#tellings.splice(0)) tell();
  }
}
