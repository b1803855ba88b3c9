import { type ChildProcess, spawn as spawnProcess } from 'node:child_process';
import { cpSync, rmSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { spawn } from '@lydell/node-pty';
import { buildSync } from 'esbuild';

const ROOT = fileURLToPath(new URL('../../..', import.meta.url));

/** A copy of the built program, so that a build meanwhile does not pull it from under a long run. */
export function copyOfProgram(): string {
  const copy = `${ROOT}node_modules/.cache/wirepit/bench-dist`;
  rmSync(copy, { recursive: true, force: true });
  cpSync(`${ROOT}dist`, copy, { recursive: true });
  return `${copy}/wirepit.js`;
}

/** Bundles a program of this folder as the built program is bundled; hands back its path. */
export function bundle(name: string, from = 'test/bench/timing'): string {
  const outfile = `${ROOT}node_modules/.cache/wirepit/bench-${name.replace(/\..*$/, '')}.mjs`;
  buildSync({
    entryPoints: [`${ROOT}${from}/${name}`],
    bundle: true,
    format: 'esm',
    platform: 'node',
    target: 'node20',
    packages: 'external',
    jsx: 'automatic',
    define: { 'process.env.NODE_ENV': '"production"' },
    outfile,
  });
  return outfile;
}

export interface Child {
  readonly pid: number;
  readonly ended: Promise<void>;
}

/** In a real pseudo-terminal of 80x24 that somebody reads, as over a fast link. */
export function inTerminal(args: readonly string[], environment: Record<string, string> = {}): Child {
  const pty = spawn(process.execPath, [...args], {
    name: 'xterm-256color',
    cols: 80,
    rows: 24,
    cwd: ROOT,
    // With CI set Ink draws nothing until the end.
    env: { ...process.env, NODE_ENV: 'production', CI: 'false', ...environment },
  });
  pty.onData(() => undefined);
  return { pid: pty.pid, ended: new Promise((resolve) => pty.onExit(() => resolve())) };
}

export function withoutTerminal(args: readonly string[], environment: Record<string, string> = {}): Child {
  const child: ChildProcess = spawnProcess(process.execPath, [...args], {
    cwd: ROOT,
    env: { ...process.env, NODE_ENV: 'production', ...environment },
    stdio: 'ignore',
  });
  return {
    pid: child.pid!,
    ended: new Promise((resolve, reject) => {
      child.on('error', reject);
      child.on('exit', () => resolve());
    }),
  };
}

export function outputOf(args: readonly string[]): Promise<string> {
  return new Promise((resolve, reject) => {
    const child = spawnProcess(process.execPath, [...args], {
      cwd: ROOT,
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    let text = '';
    child.stdout.on('data', (chunk) => {
      text += chunk;
    });
    child.on('error', reject);
    child.on('close', () => resolve(text));
  });
}
