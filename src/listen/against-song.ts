import type { Worker } from 'node:worker_threads';
import type { ComparisonDocument } from '../core/compare/comparison-document.ts';
import type { LiveView } from '../core/compare/live-view.ts';
import type { Timeline } from '../core/timeline/timeline.ts';
import { startHardWorkingThread } from '../engine/run/hard-working-thread.ts';
import { loadSong } from '../files/load-song.ts';
import { TapRing } from '../ports/tap-ring.ts';
import { Refusal } from '../trouble/refusal.ts';
import type { AgainstWork, FromAgainst, ToAgainst } from './against-work.ts';

export interface AgainstOptions {
  readonly songPath: string;
  /** Of a song for several ports only the tracks for this one. */
  readonly songPort: number | undefined;
  readonly heardName: string;
  readonly withinMicros: number;
}

/** What is heard, held against a song while it comes in, in a thread of its own. */
export class AgainstSong {
  /** For `ListenOptions.tap`. */
  readonly tap: SharedArrayBuffer;
  readonly songPath: string;
  readonly timeline: Timeline;
  /** How it stands; undefined before anything came. */
  view: LiveView | undefined;
  readonly #worker: Worker;
  readonly #whole: Promise<ComparisonDocument>;
  #asked = false;

  /** @throws Refusal when the song cannot be read, or has no notes */
  constructor({ songPath, songPort, heardName, withinMicros }: AgainstOptions) {
    // Refused here and now, and not by a thread later.
    const { timeline } = loadSong(songPath, undefined, songPort);
    if (timeline.columns.count === 0)
      throw new Refusal('there is no note in it', songPath, 'name the song that is played');
    this.songPath = songPath;
    this.timeline = timeline;
    this.tap = new TapRing().buffer;
    const work: AgainstWork = { songPath, songPort, heardName, withinMicros, tap: this.tap };
    this.#worker = startHardWorkingThread('listen/against-worker', { workerData: work, execArgv: [] });
    this.#whole = new Promise((resolve, reject) => {
      this.#worker.on('message', (said: FromAgainst) => {
        if (said.kind === 'view') this.view = said.view;
        else if (said.kind === 'fault') reject(said.error);
        else if (said.lost === 0) resolve(said.document);
        else reject(new Error(`${said.lost} pieces came faster than they could be compared`));
      });
      this.#worker.on('error', reject);
    });
    this.#whole.catch(() => {}); // told by whoever asks for the whole
    this.#worker.unref();
  }

  /** Nothing more comes: the judgement of `compare`. For after the listener has ended. */
  async whole(): Promise<ComparisonDocument> {
    if (!this.#asked) {
      this.#worker.ref();
      this.#worker.postMessage({ kind: 'over' } satisfies ToAgainst);
    }
    this.#asked = true;
    return this.#whole;
  }
}
