import { readFileSync } from 'node:fs';
import { type IPty, spawn } from '@lydell/node-pty';
import type { CellGrid } from '../../src/screen/cells/cell-grid.ts';
import { openVirtualTerminal, type VirtualTerminal } from './virtual-terminal.ts';
import { WAIT_MILLIS } from './wait-millis.ts';

export interface PtyRunOptions {
  readonly columns?: number;
  readonly rows?: number;
  readonly environment?: Readonly<Record<string, string | undefined>>;
  readonly directory?: string;
  /** Bytes a second the terminal takes from the program, as a slow link does; unlimited unless said. */
  readonly bytesPerSecond?: number;
  /** Whether the terminal answers questions (DSR and the like), as real ones do; true unless said. */
  readonly isAnswering?: boolean;
  /** Told each piece of what the program sends, as it comes. */
  readonly onOutput?: (bytes: Uint8Array) => void;
  /** How long an answer takes to come back, as over a network; at once unless said. */
  readonly answerMillis?: number;
}

/**
 * A program in a pseudo-terminal with an emulator reading it: what a person at a terminal sees and types.
 * Nothing here sleeps for a fixed time: `until…` functions wait for what they name and say what the screen
 * showed when it did not come.
 */
export interface PtyRun {
  readonly pid: number;
  readonly terminal: VirtualTerminal;
  /** Bytes the emulator was given so far. */
  readonly received: number;
  /** Bytes the program has sent that the slow link still holds. */
  readonly waiting: number;
  send(text: string): void;
  resize(columns: number, rows: number): void;
  /** Stops reading the program's output, and reads again. */
  pause(): void;
  resume(): void;
  text(): string;
  grid(): CellGrid;
  untilText(wanted: string | RegExp, timeoutMillis?: number): Promise<string>;
  until(isSo: (text: string) => boolean, what: string, timeoutMillis?: number): Promise<string>;
  /** Waits until no byte has come for so long. */
  untilQuiet(quietMillis?: number, timeoutMillis?: number): Promise<void>;
  /** Waits for the end of the program, and until all that it has sent is on the screen. */
  untilExit(timeoutMillis?: number): Promise<{ readonly code: number; readonly signal: number }>;
  kill(signal?: string): void;
  /** The line drops: the terminal is gone for the program. */
  hangUp(): void;
  /** Ends the program if it still runs, and the emulator. */
  close(): Promise<void>;
}

export function runInPty(file: string, args: readonly string[], options: PtyRunOptions = {}): PtyRun {
  const { columns = 80, rows = 24, bytesPerSecond, isAnswering = true } = options;
  const terminal = openVirtualTerminal(columns, rows);
  const program: IPty = spawn(file, [...args], {
    name: options.environment?.TERM ?? 'xterm-256color',
    cols: columns,
    rows,
    cwd: options.directory ?? process.cwd(),
    // Without an encoding the pty hands out Buffers, whatever its types say.
    encoding: null,
    env: environmentFor(options),
  });
  const watchers = new Set<() => void>();
  let received = 0;
  let lastByte = performance.now();
  let exit: { code: number; signal: number } | undefined;
  /** Pieces that the emulator has not drawn yet. */
  let undrawn = 0;

  function changed(): void {
    for (const watcher of [...watchers]) watcher();
  }

  async function show(bytes: Uint8Array): Promise<void> {
    received += bytes.length;
    options.onOutput?.(bytes);
    lastByte = performance.now();
    undrawn += 1;
    await terminal.write(bytes);
    undrawn -= 1;
    changed();
  }

  // A slow link: what was read waits here, and reading stops while anything waits.
  let backlog = Buffer.alloc(0);
  let release: NodeJS.Timeout | undefined;
  const portion =
    bytesPerSecond === undefined ? 0 : Math.max(1, Math.round((bytesPerSecond * LINK_MILLIS) / 1000));
  function releasePortion(): void {
    release = undefined;
    const bytes = backlog.subarray(0, portion);
    backlog = backlog.subarray(bytes.length);
    void show(bytes);
    if (backlog.length > 0) release = setTimeout(releasePortion, LINK_MILLIS);
    else program.resume();
  }

  program.onData((data) => {
    const bytes = data as unknown as Buffer;
    if (bytesPerSecond === undefined) {
      void show(bytes);
      return;
    }
    program.pause();
    backlog = Buffer.concat([backlog, bytes]);
    release ??= setTimeout(releasePortion, LINK_MILLIS);
  });
  program.onExit(({ exitCode, signal }) => {
    exit = { code: exitCode, signal: signal ?? 0 };
    changed();
  });
  if (isAnswering) {
    terminal.onAnswer((answer) => {
      setTimeout(() => exit ?? program.write(answer), options.answerMillis ?? 0);
    });
  }

  function wait<Result>(
    look: () => Result | undefined,
    what: () => string,
    timeoutMillis: number,
  ): Promise<Result> {
    return new Promise((done, fail) => {
      const timeout = setTimeout(() => {
        watchers.delete(check);
        fail(
          new Error(`${what()} did not come in ${timeoutMillis} ms; the screen shows:\n${terminal.text()}`),
        );
      }, timeoutMillis);
      function check(): void {
        const result = look();
        if (result === undefined) return;
        clearTimeout(timeout);
        watchers.delete(check);
        done(result);
      }
      watchers.add(check);
      check();
    });
  }

  const until = (isSo: (text: string) => boolean, what: string, timeoutMillis = WAIT_MILLIS) =>
    wait(
      () => {
        const text = terminal.text();
        return isSo(text) ? text : undefined;
      },
      () => what,
      timeoutMillis,
    );

  return {
    pid: program.pid,
    terminal,
    get received() {
      return received;
    },
    get waiting() {
      return backlog.length;
    },
    send: (text) => program.write(text),
    resize(newColumns, newRows) {
      terminal.resize(newColumns, newRows);
      program.resize(newColumns, newRows);
    },
    pause: () => program.pause(),
    resume: () => program.resume(),
    text: () => terminal.text(),
    grid: () => terminal.grid(),
    until,
    untilText: (wanted, timeoutMillis) =>
      until(
        (text) => (typeof wanted === 'string' ? text.includes(wanted) : wanted.test(text)),
        `the text ${wanted}`,
        timeoutMillis,
      ),
    async untilQuiet(quietMillis = 300, timeoutMillis = WAIT_MILLIS) {
      const limit = performance.now() + timeoutMillis;
      for (;;) {
        const rest = lastByte + quietMillis - performance.now();
        if (rest <= 0) return;
        if (performance.now() > limit) throw new Error(`the screen was not quiet within ${timeoutMillis} ms`);
        await new Promise((done) => setTimeout(done, rest + 1));
      }
    },
    untilExit: (timeoutMillis = WAIT_MILLIS) =>
      wait(
        () => (undrawn === 0 && backlog.length === 0 ? exit : undefined),
        () => 'the end of the program',
        timeoutMillis,
      ),
    kill(signal = 'SIGTERM') {
      if (exit === undefined) process.kill(program.pid, signal);
    },
    hangUp: () => (program as unknown as { destroy(): void }).destroy(),
    async close() {
      clearTimeout(release);
      if (exit === undefined) {
        process.kill(program.pid, 'SIGKILL');
        await wait(
          () => exit,
          () => 'the end of the killed program',
          WAIT_MILLIS,
        );
      }
      terminal.close();
    },
  };
}

/** Neither CI nor colour settings of whoever runs the tests change what the program draws. */
function environmentFor(options: PtyRunOptions): Record<string, string | undefined> {
  const { CI: _ci, NO_COLOR: _noColour, COLORTERM: _colourTerm, ...rest } = process.env;
  const environment = { ...rest, ...options.environment };
  // The pty package would turn an undefined value into the word.
  return Object.fromEntries(Object.entries(environment).filter(([, value]) => value !== undefined));
}

/** State of a process as Linux tells it: R running, S sleeping, T stopped, Z ended; undefined when it is gone. */
export function processState(pid: number): string | undefined {
  try {
    return /\) (\w)/.exec(readFileSync(`/proc/${pid}/stat`, 'latin1'))?.[1];
  } catch {
    return undefined;
  }
}

/** The one child of a process, for a program started through a shell (Linux). */
export function childOf(pid: number): number {
  return Number(readFileSync(`/proc/${pid}/task/${pid}/children`, 'latin1').trim().split(' ')[0]);
}

const LINK_MILLIS = 50;
