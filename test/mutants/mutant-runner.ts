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
 * Bundles the tests of one source file with a changed source, in memory of the bundler alone, and runs them in a
 * thread. Nothing is written into the source tree, so there is nothing to restore when it is killed.
 */
export class MutantRunner {
  readonly #folder: string;
  readonly #outfile: string;
  #mutated: { path: string; source: string } | undefined;
  #context: BuildContext | undefined;
  #limitMs = LIMIT_MS;

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
  async use(tests: readonly string[]): Promise<void> {
    await this.#context?.dispose();
    this.#limitMs = LIMIT_MS;
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
    const worker = new Worker(this.#outfile, { stdout: true, stderr: true });
    return new Promise((resolve) => {
      const late = setTimeout(() => end({ failed: 'time', passed: 0 }), this.#limitMs);
      const end = (result: MutantRun): void => {
        clearTimeout(late);
        if (!mutant) this.#limitMs = 1000 + PATIENCE * (performance.now() - began);
        worker.removeAllListeners();
        worker.terminate().then(() => resolve(result));
      };
      worker.once('message', end);
      worker.once('error', (error) => end({ failed: String(error), passed: 0 }));
      worker.once('exit', () => end({ failed: 'exit', passed: 0 }));
    });
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

/** A sound run of one file's tests takes a fraction of this at first; later runs are measured against the sound one. */
const LIMIT_MS = 20_000;
/** A mutant may be so much slower than the sound program; one that goes round for ever is slower still. */
const PATIENCE = 3;
