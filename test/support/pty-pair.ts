import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { WAIT_MILLIS } from './wait-millis.ts';

export const hasSocat = spawnSync('socat', ['-V']).status === 0;
if (!hasSocat)
  console.warn('skipped where a UART is needed: socat (Debian package) is not here to make a pty pair');

/**
 * Two pseudo-terminals joined by socat: what is written to `near` is read from `far`, and the other way. A pty
 * does not pace, so it proves bytes, not speed. `unplug` and `plug` are a cable pulled and put back.
 */
export class PtyPair {
  readonly near: string;
  readonly far: string;
  readonly #folder = mkdtempSync(join(tmpdir(), 'pty-'));
  #socat: ChildProcess | undefined;

  constructor() {
    this.near = join(this.#folder, 'near');
    this.far = join(this.#folder, 'far');
  }

  static async plugged(): Promise<PtyPair> {
    const pair = new PtyPair();
    await pair.plug();
    return pair;
  }

  async plug(): Promise<void> {
    const socat = spawn('socat', [`pty,raw,echo=0,link=${this.near}`, `pty,raw,echo=0,link=${this.far}`], {
      stdio: 'ignore',
    });
    this.#socat = socat;
    await until(() => existsSync(this.near) && existsSync(this.far));
  }

  /** Of the process that joins the two. */
  get relayPid(): number {
    return this.#socat!.pid!;
  }

  async unplug(): Promise<void> {
    const socat = this.#socat;
    this.#socat = undefined;
    if (socat === undefined) return;
    const gone = new Promise((resolve) => socat.once('exit', resolve));
    socat.kill('SIGTERM'); // socat removes its links
    await gone;
  }

  async remove(): Promise<void> {
    await this.unplug();
    rmSync(this.#folder, { recursive: true, force: true });
  }
}

/** Waits for a condition by looking often; fails loudly instead of hanging. */
export async function until(
  condition: () => boolean,
  what: string | (() => string) = 'a condition',
  limitMs = WAIT_MILLIS,
): Promise<void> {
  const end = performance.now() + limitMs;
  while (!condition()) {
    if (performance.now() > end) {
      const wanted = typeof what === 'string' ? what : what();
      throw new Error(`waited ${limitMs} ms in vain for ${wanted}`);
    }
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
}
