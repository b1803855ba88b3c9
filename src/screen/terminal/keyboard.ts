import { readFileSync, readSync } from 'node:fs';
import type { ReadStream } from 'node:tty';
import { KeyDecoder, type TerminalInput } from './key-decoder.ts';

/** `process.stdin` when it is a terminal. */
export type TerminalInputStream = ReadStream & { readonly fd: number };

export interface KeyboardEvents {
  input(input: TerminalInput): void;
  /** Nothing more will ever come: the terminal is gone. */
  lost(reason: string): void;
}

/** The terminal's input in raw mode, decoded. */
export class Keyboard {
  readonly #decoder = new KeyDecoder();
  #timer: NodeJS.Timeout | undefined;
  #isOpen = false;

  readonly #input: TerminalInputStream;
  readonly #events: KeyboardEvents;

  constructor(input: TerminalInputStream, events: KeyboardEvents) {
    this.#input = input;
    this.#events = events;
  }

  open(): void {
    if (this.#isOpen) return;
    this.#isOpen = true;
    // Twice, because Node skips a mode it believes to be set already; a shell may have changed it meanwhile.
    this.#setRaw(false);
    this.#setRaw(true);
    this.#input.on('data', this.#take);
    // This one stays: an error that comes later must not be one that nobody heard.
    this.#input.off('error', this.#failed);
    this.#input.on('error', this.#failed);
    this.#input.on('end', this.#ended);
    this.#input.resume();
  }

  /** Gives the terminal's line discipline back as it was. May be called twice. */
  close(): void {
    if (!this.#isOpen) return;
    this.#isOpen = false;
    clearTimeout(this.#timer);
    this.#input.off('data', this.#take);
    this.#input.off('end', this.#ended);
    this.#input.pause();
    this.#setRaw(false);
  }

  /**
   * Reads away an answer that is still on its way, so that it does not end up on the shell's command line.
   * Waits a moment at most; only where reading is known not to wait for ever.
   */
  swallowAnswer(): void {
    if (!readsWithoutWaiting(this.#input.fd)) return;
    const sleeper = new Int32Array(new SharedArrayBuffer(4));
    const bytes = new Uint8Array(256);
    for (let waited = 0; waited <= ANSWER_MILLIS; waited += STEP_MILLIS) {
      try {
        const count = readSync(this.#input.fd, bytes);
        if (count === 0) return;
        const inputs = this.#decoder.decode(bytes.subarray(0, count));
        if (inputs.some((input) => input.kind === 'report')) return;
      } catch (error) {
        if ((error as NodeJS.ErrnoException).code !== 'EAGAIN') return;
        Atomics.wait(sleeper, 0, 0, STEP_MILLIS);
      }
    }
  }

  #setRaw(isRaw: boolean): void {
    try {
      this.#input.setRawMode(isRaw);
    } catch {
      // A terminal that is gone has no mode; the loss itself is told by `failed` or `ended`.
    }
  }

  readonly #take = (bytes: Buffer): void => {
    clearTimeout(this.#timer);
    for (const input of this.#decoder.decode(bytes)) this.#events.input(input);
    const patience = this.#decoder.patienceMillis;
    if (patience > 0 && this.#isOpen) this.#timer = setTimeout(this.#giveUp, patience);
  };

  readonly #giveUp = (): void => {
    for (const input of this.#decoder.flush()) this.#events.input(input);
  };

  readonly #failed = (error: NodeJS.ErrnoException): void => {
    this.#events.lost(error.code ?? error.message);
  };

  readonly #ended = (): void => {
    this.#events.lost('end of input');
  };
}

const ANSWER_MILLIS = 150;
const STEP_MILLIS = 10;

/** Linux tells the flags of an open descriptor, in octal (proc manual page); elsewhere we do not know. */
function readsWithoutWaiting(descriptor: number): boolean {
  try {
    const flags = /^flags:\s*([0-7]+)/m.exec(readFileSync(`/proc/self/fdinfo/${descriptor}`, 'latin1'));
    return (Number.parseInt(flags?.[1] ?? '0', 8) & LINUX_NONBLOCK) !== 0;
  } catch {
    return false;
  }
}

const LINUX_NONBLOCK = 0o4000;
