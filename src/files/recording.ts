import { WholeMessages } from '../core/capture/whole-messages.ts';
import { openRecorder, type Recorder } from './recorder.ts';

/** A record under way: bytes of one or more wires in, a file out that is flushed several times a second. */
export class Recording {
  readonly #recorder: Recorder;
  readonly #streams: WholeMessages[];
  readonly #timer: NodeJS.Timeout | undefined;
  #closed = false;
  #empty = true;
  #troubleTold = false;

  readonly #path: string;

  /**
   * @param ports names of the wires; bytes are fed by their index
   * @param flushMillis 0 for no timer of its own (a run on the virtual clock is over before a timer would fire)
   * @throws Refusal when the file exists or cannot be made
   */
  constructor(path: string, ports: readonly string[], flushMillis = FLUSH_MILLIS) {
    this.#path = path;
    this.#recorder = openRecorder(path, `recorded from ${ports.join(', ')}`);
    const oneStream = /\.midi?$/i.test(path);
    this.#streams = ports.map(
      (port, index) =>
        new WholeMessages({
          message: (micros, bytes) => {
            // System messages go to every port; in a song file, which knows one stream, once is enough.
            if (oneStream && index > 0 && bytes[0]! >= 0xf0) return;
            this.#empty = false;
            this.#recorder.message(micros, port, bytes);
          },
          remark: (micros, text) => {
            // A log of nothing but faults tells something; a song file has no place for them.
            if (!oneStream) this.#empty = false;
            this.#recorder.remark(micros, port, text);
          },
        }),
    );
    if (flushMillis > 0) {
      this.#timer = setInterval(() => this.#recorder.flush(), flushMillis);
      this.#timer.unref();
    }
  }

  /** Why the record is incomplete, if it is, as a sentence without a full stop; said once. */
  takeTrouble(): string | undefined {
    const why = this.#recorder.trouble;
    if (why === undefined || this.#troubleTold) return undefined;
    this.#troubleTold = true;
    return `${why}: record ${this.#path} ends here; what is in it can be read`;
  }

  /** @param micros run time of these bytes */
  feed(port: number, bytes: Uint8Array, start: number, end: number, micros: number): void {
    if (!this.#closed) this.#streams[port]!.feed(bytes, start, end, micros);
  }

  remark(port: string, micros: number, text: string): void {
    if (!this.#closed) this.#recorder.remark(micros, port, text);
  }

  /** A record of nothing (the start was refused, say) is taken away again. May be called twice. */
  close(): void {
    if (this.#closed) return;
    this.#closed = true;
    clearInterval(this.#timer);
    for (const stream of this.#streams) stream.finish();
    if (this.#empty) this.#recorder.discard();
    else this.#recorder.close();
  }
}

/** A killed run loses less than this. */
const FLUSH_MILLIS = 250;
