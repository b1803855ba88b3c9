import { existsSync, readFileSync, renameSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'esbuild';
import { afterEach, beforeAll } from 'vitest';
import { type PtyRun, type PtyRunOptions, runInPty } from '../support/pty-run.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { WAIT_MILLIS } from '../support/wait-millis.ts';

export interface CountingRun extends PtyRun {
  /** What the program told besides its screen. */
  told(): string;
  untilTold(wanted: RegExp): Promise<void>;
}

const opened: PtyRun[] = [];
let folder: string;
let command: readonly string[];

/**
 * Called once in a test file: bundles the program, as the real one is (started through a compiler it takes a second
 * longer) and once for all files of a run, and ends what each test began. Modules outlive a file (vitest.config.ts).
 */
export function prepareCounting(): void {
  folder = tempFolder('counting');
  beforeAll(async () => {
    const program = join(process.env.WIREPIT_WORKERS ?? folder, 'counting-screen.mjs');
    command = [process.execPath, program];
    if (existsSync(program)) return;
    const draft = `${program}-${process.pid}`;
    await bundle(draft);
    renameSync(draft, program);
  });
  afterEach(async () => {
    for (const run of opened.splice(0)) await run.close();
  });
}

async function bundle(outfile: string): Promise<void> {
  await build({
    entryPoints: ['test/terminal/fixtures/counting-screen.tsx'],
    outfile,
    bundle: true,
    format: 'esm',
    platform: 'node',
    jsx: 'automatic',
    minify: true,
    define: { 'process.env.NODE_ENV': '"production"', 'process.env.DEV': '"false"', fetch: 'undefined' },
    alias: { 'react-devtools-core': './scripts/no-devtools.mjs' },
    banner: {
      js: "import { createRequire } from 'node:module'; const require = createRequire(import.meta.url);",
    },
  });
}

/** The counting screen in a pty of its own; ended after the test. */
export function startCounting(args: readonly string[] = [], options: PtyRunOptions = {}): CountingRun {
  return open([...command, ...args], options);
}

/** The same behind a shell: `script` sees the command as "$@". */
export function startCountingInShell(script: string, options: PtyRunOptions = {}): CountingRun {
  return open(['bash', '--norc', '-c', script, 'bash', ...command], options);
}

/** A shell with job control, the command in $COUNT, and a prompt to wait for. */
export function startJobShell(options: PtyRunOptions = {}): CountingRun {
  const environment = { ...options.environment, COUNT: command.join(' '), PS1: 'prompt> ' };
  return open(['bash', '--norc', '--noprofile', '-i'], { ...options, environment });
}

let count = 0;

function open([file, ...args]: readonly string[], options: PtyRunOptions): CountingRun {
  const path = join(folder, `told-${++count}`);
  const run = runInPty(file!, args, { ...options, environment: { ...options.environment, TELL_FILE: path } });
  opened.push(run);
  const told = () => (existsSync(path) ? readFileSync(path, 'utf8') : '');
  async function untilTold(wanted: RegExp): Promise<void> {
    const limit = performance.now() + WAIT_MILLIS;
    while (!wanted.test(told())) {
      if (performance.now() > limit) throw new Error(`${wanted} was not told, but: ${told()}`);
      await new Promise((done) => setTimeout(done, 20));
    }
  }
  // Not a copy: the run has getters.
  return Object.assign(run, { told, untilTold });
}
