import { constants } from 'node:os';
import { LONGEST_LEAVE_MS } from '../run/longest-leave.ts';

/**
 * Signals that would end the program (signal(7)) and can be caught, as far as this system has them. SIGKILL cannot:
 * see Active Sensing. A crash inside the process (SIGSEGV and its like) leaves nothing that could still send, and
 * SIGPROF belongs to the profiler. SIGPIPE and SIGXFSZ come as errors of a write.
 */
export const ENDING_SIGNALS: readonly NodeJS.Signals[] = (
  [
    ['SIGINT', 'SIGTERM', 'SIGHUP', 'SIGQUIT'],
    ['SIGALRM', 'SIGVTALRM', 'SIGXCPU', 'SIGUSR1', 'SIGUSR2', 'SIGABRT'],
    ['SIGIO', 'SIGPWR', 'SIGSTKFLT'],
  ] as const
)
  .flat()
  .filter((signal) => signal in constants.signals);

export interface WaysOutOptions {
  /** Ends everything that runs, silence first: `player.close`. Called once. */
  readonly quit: () => Promise<unknown>;
  /** Gives the terminal back; called once, before the silence, and must not wait. */
  readonly restore?: () => void;
  /** Ends the process with this code: only the command line may. */
  readonly exit: (code: number) => void;
  /** Told of a fault of ours before `exit(70)`. */
  readonly report?: (error: unknown) => void;
  /** How long to wait for `quit`, in milliseconds. */
  readonly limitMs?: number;
}

/**
 * Sees to it that no way out of the program is a way round the silence: each ending signal, an exception
 * nobody caught, a promise nobody caught. The exit code is 128 + the signal's number, as shells have it, or 70
 * (sysexits: a fault of ours). Further signals while leaving change nothing: leaving is bounded anyway.
 * @returns takes the handlers away again
 */
export function installWaysOut(options: WaysOutOptions): () => void {
  let leaving = false;
  const leave = async (code: number): Promise<void> => {
    if (leaving) return;
    leaving = true;
    quietly(options.restore);
    await Promise.race([options.quit().catch(() => undefined), after(options.limitMs ?? LONGEST_LEAVE_MS)]);
    options.exit(code);
  };
  const onSignal = (signal: NodeJS.Signals): void => void leave(128 + constants.signals[signal]);
  const onFault = (error: unknown): void => {
    if (leaving) return; // the terminal is gone, say: no reason not to finish the silence
    const signal = signalMeant(error);
    if (signal !== undefined) {
      onSignal(signal);
      return;
    }
    quietly(() => {
      options.restore?.();
      options.report?.(error);
    });
    void leave(70);
  };
  for (const signal of ENDING_SIGNALS) process.on(signal, onSignal);
  process.on('uncaughtException', onFault);
  process.on('unhandledRejection', onFault);
  return () => {
    for (const signal of ENDING_SIGNALS) process.off(signal, onSignal);
    process.off('uncaughtException', onFault);
    process.off('unhandledRejection', onFault);
  };
}

/**
 * Writing to a pipe nobody reads any more, or to a terminal that is gone, is no fault of ours: Node turns the
 * signal that would have ended us into an error.
 */
function signalMeant(error: unknown): NodeJS.Signals | undefined {
  const { code, syscall } = (error ?? {}) as NodeJS.ErrnoException;
  if (syscall !== 'write') return undefined;
  return code === 'EPIPE' ? 'SIGPIPE' : code === 'EIO' ? 'SIGHUP' : undefined;
}

/** Neither the terminal nor a report may stand between us and the silence. */
function quietly(action: (() => void) | undefined): void {
  try {
    action?.();
  } catch {
    // a terminal that is gone cannot be given back
  }
}

function after(ms: number): Promise<void> {
  return new Promise((resolve) => {
    setTimeout(resolve, ms).unref();
  });
}
