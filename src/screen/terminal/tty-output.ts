import { closeSync, constants, openSync, write, writeSync } from 'node:fs';

export type WriteDone = (error?: NodeJS.ErrnoException) => void;

/**
 * The way to the terminal's screen: one write at a time, which never holds up this thread, however slowly the
 * terminal reads. Where the system allows, the terminal is opened a second time without waiting: a write that
 * waits in Node's thread pool would hold up the end of the process for as long as nobody reads. The second
 * opening has flags of its own, so the shell's descriptor stays as it was.
 */
export class TtyOutput {
  readonly #own: number | undefined;
  #timer: NodeJS.Timeout | undefined;
  #isWriting = false;
  /** Counts the writes, so that one that was cut off reports to nobody. */
  #turn = 0;
  #isClosed = false;

  readonly #descriptor: number;

  constructor(descriptor: number, open: (descriptor: number) => number | undefined = openAgain) {
    this.#descriptor = descriptor;
    this.#own = open(descriptor);
  }

  get isBusy(): boolean {
    return this.#isWriting;
  }

  /** `bytes` must stay as they are until `done` is called, which may be at once. */
  write(bytes: Uint8Array, done: WriteDone): void {
    this.#isWriting = true;
    this.#turn += 1;
    if (this.#own === undefined) this.#writeShared(bytes, 0, done);
    else this.#writeOwn(this.#own, bytes, 0, FIRST_WAIT_MILLIS, done);
  }

  /**
   * Writes before it returns, for the way out: waits at most `WAY_OUT_MILLIS` for a terminal that does not
   * read, then gives up. What was being written is cut off. Errors are left to whoever meets them next.
   */
  writeNow(text: string): void {
    if (this.#isClosed) return;
    this.#cutOff();
    const bytes = Buffer.from(text, 'latin1');
    const sleeper = new Int32Array(new SharedArrayBuffer(4));
    let sent = 0;
    for (let waited = 0; sent < bytes.length && waited <= WAY_OUT_MILLIS; ) {
      try {
        sent += writeSync(this.#own ?? this.#descriptor, bytes, sent);
      } catch (error) {
        if (!isFull(error)) return;
        Atomics.wait(sleeper, 0, 0, STEP_MILLIS);
        waited += STEP_MILLIS;
      }
    }
  }

  close(): void {
    if (this.#isClosed) return;
    this.#isClosed = true;
    this.#cutOff();
    if (this.#own !== undefined) closeSync(this.#own);
  }

  #cutOff(): void {
    this.#isWriting = false;
    this.#turn += 1;
    clearTimeout(this.#timer);
    this.#timer = undefined;
  }

  #finish(done: WriteDone, error?: NodeJS.ErrnoException): void {
    this.#isWriting = false;
    done(error);
  }

  #writeOwn(own: number, bytes: Uint8Array, from: number, wait: number, done: WriteDone): void {
    let sent = from;
    try {
      while (sent < bytes.length) sent += writeSync(own, bytes, sent);
    } catch (error) {
      if (!isFull(error)) {
        this.#finish(done, error as NodeJS.ErrnoException);
        return;
      }
      const next = sent > from ? FIRST_WAIT_MILLIS : Math.min(wait * 2, LONGEST_WAIT_MILLIS);
      this.#timer = setTimeout(() => this.#writeOwn(own, bytes, sent, next, done), wait);
      this.#timer.unref();
      return;
    }
    this.#finish(done);
  }

  /** Waits, if it must, in the thread pool. */
  #writeShared(bytes: Uint8Array, from: number, done: WriteDone): void {
    const turn = this.#turn;
    write(this.#descriptor, bytes, from, bytes.length - from, null, (error, count) => {
      if (turn !== this.#turn) return;
      if (error !== null && !isFull(error)) {
        this.#finish(done, error);
      } else if (from + count >= bytes.length) {
        this.#finish(done);
      } else {
        const next = () => this.#writeShared(bytes, from + (error === null ? count : 0), done);
        this.#timer = setTimeout(next, error === null ? 0 : LONGEST_WAIT_MILLIS);
        this.#timer.unref();
      }
    });
  }
}

/** Between two tries at a full terminal. */
const FIRST_WAIT_MILLIS = 5;
const LONGEST_WAIT_MILLIS = 40;
const WAY_OUT_MILLIS = 250;
const STEP_MILLIS = 10;

function isFull(error: unknown): boolean {
  return (error as NodeJS.ErrnoException).code === 'EAGAIN';
}

function openAgain(descriptor: number): number | undefined {
  const flags = constants.O_WRONLY | constants.O_NONBLOCK | constants.O_NOCTTY;
  try {
    return openSync(process.platform === 'linux' ? `/proc/self/fd/${descriptor}` : '/dev/tty', flags);
  } catch {
    // No such file on this system, or another user's terminal (su): then not.
    return undefined;
  }
}
