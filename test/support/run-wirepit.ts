import { spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';

export const WIREPIT = fileURLToPath(new URL('../../dist/wirepit.js', import.meta.url));
export const ROOT = fileURLToPath(new URL('../..', import.meta.url));

export interface Ran {
  readonly code: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** Runs the built program without a terminal, as a script would, from the top of the checkout. */
export function runWirepit(args: readonly string[], input = ''): Promise<Ran> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [WIREPIT, ...args], { cwd: ROOT });
    let stdout = '';
    let stderr = '';
    child.stdout.on('data', (chunk) => {
      stdout += chunk;
    });
    child.stderr.on('data', (chunk) => {
      stderr += chunk;
    });
    child.on('error', reject);
    child.on('close', (code) => resolve({ code, stdout, stderr }));
    child.stdin.end(input);
  });
}
