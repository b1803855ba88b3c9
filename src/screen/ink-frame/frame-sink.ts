import { Readable, Writable } from 'node:stream';

/**
 * The terminal Ink believes to have: takes whole frames as text. No `rows`, and `isTTY` is false, so Ink neither
 * takes its full-screen path nor touches the cursor.
 */
export class FrameSink extends Writable {
  readonly isTTY = false;

  columns: number;
  readonly #onFrame: (frame: string) => void;

  constructor(columns: number, onFrame: (frame: string) => void) {
    super({ decodeStrings: false });
    this.columns = columns;
    this.#onFrame = onFrame;
  }

  override _write(frame: string, _encoding: BufferEncoding, done: () => void): void {
    this.#onFrame(frame);
    done();
  }
}

/** The keyboard Ink believes to have: no terminal, and nothing is ever typed. Keys come from `terminal/`. */
export function deafKeyboard(): NodeJS.ReadStream {
  return Object.assign(new Readable({ read() {} }), { isTTY: false }) as unknown as NodeJS.ReadStream;
}
