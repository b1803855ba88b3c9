import { spawn } from 'node:child_process';
import { type Ran, ROOT, WIREPIT } from './run-wirepit.ts';

/**
 * Runs a line of shell in which `wirepit` is the built program: for what a shell does to a program's descriptors,
 * limits and arguments. `$1 …` are `words`.
 */
export function wirepitInShell(line: string, ...words: readonly string[]): Promise<Ran> {
  const script = `wirepit() { "${process.execPath}" "${WIREPIT}" "$@"; }; ${line}`;
  return new Promise((resolve, reject) => {
    const child = spawn('bash', ['--norc', '--noprofile', '-c', script, 'bash', ...words], { cwd: ROOT });
    const said = { stdout: '', stderr: '' };
    for (const stream of ['stdout', 'stderr'] as const) {
      child[stream].on('data', (chunk) => {
        said[stream] += chunk;
      });
    }
    child.on('error', reject);
    child.on('close', (code) => resolve({ code, ...said }));
  });
}
