import { runInPty } from '../../support/pty-run.ts';
import { PROGRAM } from './programs.ts';

/** Milliseconds from the start of the process to the first character on the screen. */
export async function firstFrame(song: string): Promise<number> {
  return firstCharacter([PROGRAM, song, '--port', 'mock']);
}

/** The same for a Node that does nothing but write one: what no program of ours could beat. */
export function bareNode(): Promise<number> {
  return firstCharacter(['-e', 'process.stdout.write("x"); setTimeout(() => {}, 1000)']);
}

async function firstCharacter(args: readonly string[]): Promise<number> {
  const started = performance.now();
  const run = runInPty(process.execPath, args);
  try {
    await run.until((text) => text.trim() !== '', 'a first frame');
    return performance.now() - started;
  } finally {
    await run.close();
  }
}
