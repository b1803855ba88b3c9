import { rmSync } from 'node:fs';
import { runInPty } from '../../support/pty-run.ts';
import { WirePipe } from '../../support/wire-pipe.ts';
import { PROGRAM } from './programs.ts';

/** Milliseconds from the start of the process to the first character on the screen. */
export async function firstFrame(song: string): Promise<number> {
  return firstCharacter([PROGRAM, song, '--port', 'mock']);
}

/** The same for a Node that does nothing but write one: what no program of ours could beat. */
export function bareNode(): Promise<number> {
  return firstCharacter(['-e', 'process.stdout.write("x"); setTimeout(() => {}, 1000)']);
}

/** Milliseconds from the start of the process, screen and all, to the first byte on a pipe as the wire. */
export async function firstByte(song: string, pipePath: string): Promise<number> {
  rmSync(pipePath, { force: true });
  const wire = new WirePipe(pipePath);
  const started = performance.now();
  const run = runInPty(process.execPath, [PROGRAM, song, '--port', `raw:${pipePath}`]);
  try {
    await wire.next();
    return wire.lastByteMillis - started;
  } finally {
    await run.close();
    wire.close();
  }
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
