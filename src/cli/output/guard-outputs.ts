import { constants } from 'node:os';
import { writeTrouble } from '../../files/write-trouble.ts';
import { EXIT } from '../trouble.ts';

/**
 * What cannot be written to standard output or standard error (a full disk behind them, say) stops nothing: the music
 * goes on, the exit code says so at the end, and for a report one line does. A reader that went away, or a terminal,
 * is a way out as before (`installWaysOut`); where none is in force, the program ends with its signal's code.
 */
export function guardOutputs(): void {
  let isTold = false;
  process.stderr.on('error', (error: NodeJS.ErrnoException) => notWritten(error, () => {}));
  process.stdout.on('error', (error: NodeJS.ErrnoException) =>
    notWritten(error, () => {
      if (isTold) return;
      isTold = true;
      const next = 'make room, or send it somewhere else';
      process.stderr.write(`wirepit: the report is not complete: ${writeTrouble(error.code)}; ${next}\n`);
    }),
  );
}

let hasFailed = false;

function notWritten(error: NodeJS.ErrnoException, tell: () => void): void {
  const signal = error.code === 'EPIPE' ? 'SIGPIPE' : error.code === 'EIO' ? 'SIGHUP' : undefined;
  if (signal !== undefined) {
    if (process.listenerCount('uncaughtException') > 0) throw error;
    process.exit(128 + constants.signals[signal]);
  }
  if (!hasFailed) {
    hasFailed = true;
    process.on('exit', (code) => {
      if (code === EXIT.done) process.exitCode = EXIT.problems;
    });
  }
  tell();
}
