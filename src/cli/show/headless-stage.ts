import type { Worker } from 'node:worker_threads';
import { STUCK_LIMITS, type StuckLimits } from '../../core/observe/stuck-notes.ts';
import type { Player } from '../../engine/run/player.ts';
import { runVirtualPlayer } from '../../engine/run/virtual-player.ts';
import { startWorkerPlayer } from '../../engine/run/worker-player.ts';
import { installWaysOut } from '../../engine/watch/ways-out.ts';
import { statusLine } from '../../screen/plain/status-line.ts';
import { troubleTeller } from '../output/tell-troubles.ts';
import { forTerminal } from '../output/terminal-text.ts';
import { LeftFromBefore } from '../play/left-from-before.ts';
import { songViewOf } from '../play/song-view-of.ts';
import { unsentLine } from '../play/unsent.ts';
import { troubleOf } from '../trouble.ts';
import { lookAfterSong } from './look-after-song.ts';
import type { ShowClock } from './show-clock.ts';
import type { SongInWords } from './show-in-words.ts';
import type { Leave, OpenStage, ShowStage, SongTurn } from './show-stage.ts';
import type { ShowFlags } from './song-flags.ts';
import { songOnOf, type Watchable } from './watchable.ts';

const STATUS_EVERY_MS = 10_000;

/**
 * A show for a log: a line when something happens, and one now and then while a song plays. With `--plain` for somebody who
 * listens or reads: changes in words, and keys where there is a terminal.
 */
export class HeadlessStage implements OpenStage {
  readonly #flags: ShowFlags;
  readonly #clock: ShowClock;
  readonly #left = new LeftFromBefore();

  /** For those who look from elsewhere; undefined where nobody can. */
  readonly #host: Watchable | undefined;
  /** One that is started already, for the first song. */
  #thread: Worker | undefined;
  /** While a song is told in words. */
  #words: SongInWords | undefined;

  readonly #startPlayer: typeof startWorkerPlayer;

  /** @param startPlayer what plays on the real clock */
  constructor(
    flags: ShowFlags,
    clock: ShowClock,
    host?: Watchable,
    thread?: Worker,
    startPlayer = startWorkerPlayer,
  ) {
    this.#flags = flags;
    this.#clock = clock;
    this.#host = host;
    if (host !== undefined) host.tellTrouble = tell;
    this.#thread = thread;
    this.#startPlayer = startPlayer;
  }

  async play(turn: SongTurn, onPosition: (songMicros: number) => void): Promise<Leave> {
    const { prepared } = turn;
    const isVirtual = this.#flags.clock === 'virtual';
    let player: Player | undefined;
    const removeWaysOut = installWaysOut({
      quit: async () => player?.close(),
      restore: () => this.#words?.close(),
      exit: (code) => process.exit(code),
      report: (error) => this.tell(troubleOf(error, false).line),
    });
    try {
      const options = this.#left.with(prepared.options);
      const thread = this.#thread;
      this.#thread = undefined;
      player = await (isVirtual ? runVirtualPlayer(options) : this.#startPlayer(options, thread));
      this.#host?.begin(player, songOnOf(turn));
      const tellTroubles = troubleTeller(player);
      this.#words = await this.#inWords(player, turn);
      const stopWatching = isVirtual ? () => {} : this.#watch(player, turn, onPosition, tellTroubles);
      const end = await player.ended;
      stopWatching();
      await player.close();
      this.#left.ended(player, options);
      tellTroubles();
      if (end.kind === 'fault') throw end.error;
      this.#clock.passed(player.nowMicros());
      const unsent = unsentLine(prepared.options.outputs, player.observed);
      if (unsent !== undefined) this.tell(unsent);
      return this.#words?.left() ?? (end.kind === 'quit' ? 'quit' : 'ended');
    } finally {
      this.#words?.close();
      this.#words = undefined;
      this.#host?.songOver();
      removeWaysOut();
    }
  }

  async wait(what: Parameters<ShowStage['wait']>[0]): Promise<Leave> {
    const { words, seconds, forKey } = what;
    if (this.#isInWords) {
      const { takesKeys, waitInWords } = await import('./show-in-words.ts');
      if (takesKeys(this.#flags)) {
        this.#host?.tell(words);
        return waitInWords(what, this.#flags, tell);
      }
    }
    this.tell(words);
    // Without a screen there is no key to wait for.
    if (seconds > 0 || forKey) await this.#clock.wait(seconds * 1000);
    return 'ended';
  }

  async close(): Promise<void> {}

  tell(words: string): void {
    this.#host?.tell(words);
    tell(words);
  }

  get #isInWords(): boolean {
    return this.#flags.plain === true && this.#flags.clock === 'real';
  }

  async #inWords(player: Player, turn: SongTurn): Promise<SongInWords | undefined> {
    if (!this.#isInWords) return undefined;
    const { songInWords } = await import('./show-in-words.ts');
    return songInWords(player, songViewOf(turn.prepared), turn, this.#flags, this.#limits, tell);
  }

  get #limits(): StuckLimits {
    return { ...STUCK_LIMITS, longMicros: this.#flags.stuckAfter * 1e6 };
  }

  #watch(
    player: Player,
    { prepared, befell }: SongTurn,
    onPosition: (songMicros: number) => void,
    tellTroubles: () => void,
  ): () => void {
    const view = songViewOf(prepared);
    const isInWords = this.#isInWords;
    const tellStatus = (): void => tell(statusLine(player.observed, view, player.nowMicros(), this.#limits));
    if (!isInWords) tellStatus();
    const status = isInWords ? undefined : setInterval(tellStatus, STATUS_EVERY_MS);
    const stopLooking = lookAfterSong(player, view, prepared.options.startMicros ?? 0, {
      onPosition,
      onNews(words) {
        if (!isInWords) tell(words); // a port that goes is told in words with all else
        befell(words);
      },
      onLook: tellTroubles,
    });
    return () => {
      clearInterval(status);
      stopLooking();
    };
  }
}

/** What those who watch see for themselves is told here alone. */
function tell(words: string): void {
  process.stderr.write(`${forTerminal(words, process.stderr)}\n`);
}
