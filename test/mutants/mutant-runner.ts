import { fork } from 'node:child_process';
import type { EventEmitter } from 'node:events';
import { mkdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { Worker } from 'node:worker_threads';
import { type BuildContext, context, type Plugin } from 'esbuild';

export interface MutantRun {
  /** The first test that failed, and why; undefined when all passed. */
  readonly failed: string | undefined;
  readonly passed: number;
}

/**
 * Where the tests of a mutant run. A thread starts soonest, and is enough for pure code. What opens descriptors needs a
 * process: devices are kept by a main thread only, and a mutant that closes a descriptor of another closes it for all.
 */
export type Where = 'thread' | 'process';

/**
 * Bundles the tests of one source file with a changed source, in memory of the bundler alone, and runs them.
 * Nothing is written into the source tree, so there is nothing to restore when it is killed.
 */
export class MutantRunner {
  readonly #folder: string;
  readonly #outfile: string;
  #mutated: { path: string; source: string } | undefined;
  #context: BuildContext | undefined;
  #limitMs = LIMIT_MS;
  #where: Where = 'thread';

  readonly #root: string;

  constructor(root: string) {
    this.#root = root;
    // Below node_modules, so that the packages are found.
    this.#folder = join(root, 'node_modules/.cache/wirepit', `mutants-${process.pid}`);
    this.#outfile = join(this.#folder, 'tests.mjs');
    mkdirSync(this.#folder, { recursive: true });
    process.once('exit', () => rmSync(this.#folder, { recursive: true, force: true }));
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const)
      process.once(signal, () => process.exit(1));
  }

  /** The tests that `run` runs from now on. */
  async use(tests: readonly string[], where: Where): Promise<void> {
    await this.#context?.dispose();
    this.#limitMs = LIMIT_MS;
    this.#where = where;
    const files = tests.map((test) => `${JSON.stringify(test)}: () => import('./${test}')`);
    this.#context = await context({
      stdin: {
        contents: `import { runInWorker } from './test/mutants/run-in-worker.ts';
          await runInWorker({ ${files.join(', ')} });`,
        resolveDir: this.#root,
        loader: 'ts',
      },
      outfile: this.#outfile,
      bundle: true,
      format: 'esm',
      platform: 'node',
      target: 'node20',
      jsx: 'automatic',
      packages: 'external',
      alias: { vitest: join(this.#root, 'test/mutants/vitest-in-worker.ts') },
      plugins: [this.#plugin()],
      logLevel: 'silent',
    });
  }

  /** Runs the tests with one file's source changed, or as it is. */
  async run(mutant?: { readonly file: string; readonly source: string }): Promise<MutantRun> {
    this.#mutated = mutant && { path: join(this.#root, mutant.file), source: mutant.source };
    try {
      await this.#context!.rebuild();
    } catch {
      return { failed: 'does not build', passed: 0 };
    }
    const began = performance.now();
    const started = this.#where === 'thread' ? this.#startThread() : this.#startProcess();
    return new Promise((resolve) => {
      const late = setTimeout(() => end({ failed: TIME_IS_UP, passed: 0 }), this.#limitMs);
      const end = (result: MutantRun): void => {
        clearTimeout(late);
        if (!mutant) this.#limitMs = 1000 + PATIENCE * (performance.now() - began);
        started.told.removeAllListeners();
        void started.stop().then(() => resolve(result));
      };
      started.told.once('message', end);
      started.told.once('error', (error) => end({ failed: String(error), passed: 0 }));
      started.told.once('exit', () => end({ failed: 'exit', passed: 0 }));
    });
  }

  #startThread(): Started {
    const worker = new Worker(this.#outfile, { stdout: true, stderr: true, env: this.#env() });
    return { told: worker, stop: () => worker.terminate() };
  }

  /** A process group of its own, so that the helpers a test has started end with it. */
  #startProcess(): Started {
    const child = fork(this.#outfile, { stdio: 'ignore', detached: true, env: this.#env() });
    const stop = async () => {
      try {
        process.kill(-child.pid!, 'SIGKILL');
      } catch {
        // It has ended by itself.
      }
    };
    return { told: child, stop };
  }

  /** What a killed run leaves in the temporary folder goes with this runner's own. */
  #env(): NodeJS.ProcessEnv {
    return { ...process.env, TMPDIR: this.#folder };
  }

  async close(): Promise<void> {
    await this.#context?.dispose();
  }

  #plugin(): Plugin {
    return {
      name: 'mutant',
      setup: (build) => {
        build.onLoad({ filter: /\/(src|test)\/.*\.tsx?$/ }, ({ path }) => {
          const source = path === this.#mutated?.path ? this.#mutated.source : readFileSync(path, 'utf8');
          return {
            contents: source.replaceAll('import.meta.url', JSON.stringify(pathToFileURL(path).href)),
            loader: path.endsWith('x') ? 'tsx' : 'ts',
          };
        });
      },
    };
  }
}

interface Started {
  readonly told: EventEmitter;
  stop(): Promise<unknown>;
}

export const TIME_IS_UP = 'time';
/** A sound run of one file's tests takes a fraction of this at first; later runs are measured against the sound one. */
const LIMIT_MS = 60_000;
/** A mutant may be so much slower than the sound program; one that goes round for ever is slower still. */
const PATIENCE = 3;
