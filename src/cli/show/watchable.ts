import { basename } from 'node:path';
import { version } from '../../../package.json';
import type { Player } from '../../engine/run/player.ts';
import type { ReadSet } from '../../show/read-set.ts';
import { showFileName } from '../../show/show-files.ts';
import { socketPath } from '../../watch/socket-folder.ts';
import type { SongOn } from '../../watch/watch-frames.ts';
import { WatchHost } from '../../watch/watch-host.ts';
import { numberWords, type SongTurn } from './show-stage.ts';

/**
 * Lets `wirepit watch` find this show. Opened once the first music runs or there is something to tell, since nobody need
 * wait for it; where that cannot be it is told, and the show goes on.
 */
export class Watchable {
  readonly #read: ReadSet;
  /** Says why it cannot be watched; a screen has a place of its own for words. */
  tellTrouble: (words: string) => void = () => {};
  #host: Promise<WatchHost | undefined> | undefined;

  constructor(read: ReadSet) {
    this.#read = read;
  }

  /** A song begins. */
  begin(player: Player, song: Omit<SongOn, 'originNanos'>): void {
    this.#do((host) => host.begin(player, song));
  }

  /** The song that is on is over. */
  songOver(): void {
    this.#do((host) => host.songOver());
  }

  /** Something a person ought to know, in a line. */
  tell(words: string): void {
    this.#do((host) => host.tell(words));
  }

  /** Settles when nobody can find it any more. */
  async close(): Promise<void> {
    (await this.#host)?.close();
  }

  /** One after the other, as they came. */
  #do(what: (host: WatchHost) => void): void {
    this.#host ??= this.#opened();
    void this.#host.then((host) => host && what(host));
  }

  async #opened(): Promise<WatchHost | undefined> {
    const { path, set } = this.#read;
    try {
      return await WatchHost.open({ socketPath: socketPath(showFileName(path)), show: set.name, version });
    } catch (error) {
      this.tellTrouble(`this show cannot be watched from elsewhere: ${(error as Error).message}`);
      return undefined;
    }
  }
}

/** What those who watch are told of a song. */
export function songOnOf(turn: SongTurn): Omit<SongOn, 'originNanos'> {
  const { set, next, prepared } = turn;
  const { loaded, flags } = prepared;
  const words = `${set.name}: ${loaded.timeline.title || basename(loaded.path)}, ${numberWords(turn)}`;
  return { path: loaded.path, flags, words: next === undefined ? words : `${words}; then ${next}` };
}
