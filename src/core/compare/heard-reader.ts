import { HeardFold } from './heard-fold.ts';
import type { HeardMusic } from './heard-music.ts';
import { HeardStream } from './heard-stream.ts';
import type { ToldFault } from './log-remarks.ts';
import { StandstillList } from './standstills.ts';

/** Reads a recording from its beginning to its end. */
export class HeardReader {
  readonly #fold = new HeardFold();
  readonly #stream: HeardStream;
  readonly #standstills = new StandstillList();
  readonly #hasTimes: boolean;

  constructor(hasTimes: boolean) {
    this.#hasTimes = hasTimes;
    this.#stream = new HeardStream(hasTimes, this.#fold);
  }

  /** @param micros when the first of these bytes began */
  feed(bytes: Uint8Array, micros: number): void {
    this.#stream.feed(bytes, micros);
  }

  /** What somebody else saw, as a log's remark tells it. */
  told({ kind }: Pick<ToldFault, 'kind'>): void {
    this.#stream.told(kind);
  }

  /** Whoever recorded it stood still, as a log's remark tells it. */
  stoodStill(fromMicros: number, toMicros: number): void {
    this.#standstills.add(fromMicros, toMicros);
  }

  finish(): HeardMusic {
    this.#stream.finish();
    const { bytes, isTorn } = this.#stream;
    return this.#fold.music(this.#hasTimes, bytes, isTorn, this.#standstills.all());
  }
}
