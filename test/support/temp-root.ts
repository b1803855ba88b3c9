import { mkdirSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';

/** Short, as paths in it stand on screens of 80 columns; then the process's number in base 36. */
const NAME = /^wpt-([0-9a-z]{1,7})$/;

/** What the tools put beside our folders to be quicker the next time: not ours to take away. */
const OF_TOOLS = /^(tsx-|node-compile-cache|v8-compile-cache|esbuild|node-coverage)/;

/**
 * Makes the one temporary folder of this run and points TMPDIR at it, so that whatever the tests, and the programs
 * that they start, put into "the temporary folder" lies there and nowhere else. Returns what takes it away. What
 * runs that were killed have left is taken away now.
 */
export function openTempRoot(): () => void {
  const before = tmpdir();
  for (const name of readdirSync(before)) {
    const process = NAME.exec(name)?.[1];
    if (process === undefined || isRunning(Number.parseInt(process, 36))) continue;
    rmSync(join(before, name), { recursive: true, force: true });
  }
  const root = join(before, `wpt-${process.pid.toString(36)}`);
  mkdirSync(root);
  process.env.TMPDIR = root;
  return () => {
    process.env.TMPDIR = before;
    rmSync(root, { recursive: true, force: true });
  };
}

/** What the tests of this run have left in their temporary folder; empty where there is no such folder. */
export function leftBehind(): string[] {
  const root = tmpdir();
  if (!NAME.test(basename(root))) return [];
  return readdirSync(root).filter((name) => !OF_TOOLS.test(name));
}

export function isRunning(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}
