import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { tempFolder } from './temp-folder.ts';

/** A serial line between two pseudo-terminals: its rate, and what it does to bytes. */
export interface FarLineOptions {
  readonly baud: number;
  readonly delayMicros?: number;
  /** Every so many bytes one is lost; one has these bits turned over; one comes after it that nobody sent. */
  readonly loseEvery?: number;
  readonly flipEvery?: number;
  readonly flipBits?: number;
  readonly addEvery?: number;
  readonly added?: number;
  /** Looks all the time, and so takes a processor: for exact stamps. */
  readonly spins?: boolean;
}

/** What the line says of each byte: value, when it came and when it left (ns, monotonic). */
export type FarLineLog = readonly (readonly [value: number, cameNanos: number, leftNanos: number])[];

export interface FarLine {
  /** Written to and read from by whoever is tested. */
  readonly out: string;
  readonly in: string;
  /** The line is cut. */
  kill(): void;
  /** Ends it and hands over its log. */
  end(): Promise<FarLineLog>;
}

export async function farLine(options: FarLineOptions, folder = tempFolder('far-line')): Promise<FarLine> {
  const log = join(folder, 'line.json');
  const script = fileURLToPath(new URL('./far-line.mjs', import.meta.url));
  const child = spawn(process.execPath, [script, JSON.stringify({ ...options, log })], {
    stdio: ['pipe', 'pipe', 'inherit'],
  });
  const [names] = (await once(child.stdout, 'data')) as [Buffer];
  const [near, far] = names.toString().trim().split(' ') as [string, string];
  const exit = once(child, 'exit');
  return {
    out: near,
    in: far,
    kill: () => void child.kill('SIGKILL'),
    async end() {
      child.stdin.end();
      await exit;
      return JSON.parse(readFileSync(log, 'utf8')) as FarLineLog;
    },
  };
}
