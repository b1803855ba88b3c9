import { fork } from 'node:child_process';
import type { EventEmitter } from 'node:events';
import { mkdirSync, readFileSync, rmSync } from 'node:fs';
import { join, relative } from 'node:path';
import { pathToFileURL } from 'node:url';
import { Worker } from 'node:worker_threads';
import { type BuildContext, context, type Plugin } from 'esbuild';
import { cpuTimeOf } from './cpu-time.ts';
import { ASKED, type Asked, type RanCase, type Told } from './run-in-worker.ts';
import { BUNDLE, ThreadBundles } from './thread-bundles.ts';

export interface MutantRun {
  /** The first test that failed, and why; undefined when all passed. */
  readonly failed: string | undefined;
  /** The test file it failed in. */
  readonly at: string | undefined;
  /** By test file, each that passed. */
  readonly passed: ReadonlyMap<string, RanFile>;
}

/** What a test file took of its own time, and what of it its cases. */
export interface RanFile {
  readonly time: RunTime;
  readonly cases: readonly RanCase[];
  /** Probes that it reached outside of its cases, by their numbers. */
  readonly reached: readonly number[];
}

/** What is run: tests, with some sources changed. */
export interface Run {
  readonly asked: Asked;
  /** The one file of which threads are to run the changed source as well. */
  readonly mutant?: string;
  /** [file] the source in place of its own. */
  readonly sources: ReadonlyMap<string, string>;
}

/** What a test file took, whatever else the machine had to do. */
export interface RunTime {
  readonly cpuMs: number;
  /** How often it was found asleep without having done anything since the look before. */
  readonly idleLooks: number;
}

/**
 * Where the tests of a mutant run. A thread starts soonest, and is enough for pure code. What opens descriptors needs a
 * process: devices are kept by a main thread only, and a mutant that closes a descriptor of another closes it for all.
 */
export type Where = 'thread' | 'process';

/**
 * Bundles the tests of one source file, and the threads they start, with changed sources, in memory of the bundler
 * alone, and runs them. Nothing is written into the source tree, so there is nothing to restore when it is killed.
 */
export class MutantRunner {
  readonly #folder: string;
  readonly #outfile: string;
  #run: Run = { asked: {}, sources: new Map() };
  #context: BuildContext | undefined;
  readonly #threads: ThreadBundles;
  #where: Where = 'thread';

  readonly #root: string;

  constructor(root: string) {
    this.#root = root;
    // Below node_modules, so that the packages are found.
    this.#folder = join(root, 'node_modules/.cache/wirepit', `mutants-${process.pid}`);
    this.#outfile = join(this.#folder, 'tests.mjs');
    const inThreads = (file: string) => (file === this.#run.mutant ? this.#run.sources.get(file) : undefined);
    this.#threads = new ThreadBundles(root, this.#workers, {
      ...BUNDLE,
      plugins: [this.#plugin(inThreads)],
    });
    mkdirSync(this.#folder, { recursive: true });
    process.once('exit', () => rmSync(this.#folder, { recursive: true, force: true }));
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const)
      process.once(signal, () => process.exit(1));
  }

  /** The tests that `run` can ask from now on. */
  async use(tests: readonly string[], where: Where): Promise<void> {
    await this.#context?.dispose();
    this.#where = where;
    const files = tests.map((test) => `${JSON.stringify(test)}: () => import('./${test}')`);
    this.#context = await context({
      stdin: {
        contents: `import { runInWorker } from './test/mutants/run-in-worker.ts';
          await runInWorker({ ${files.join(', ')} });`,
        resolveDir: this.#root,
        loader: 'ts',
      },
      ...BUNDLE,
      outfile: this.#outfile,
      alias: { vitest: join(this.#root, 'test/mutants/vitest-in-worker.ts') },
      plugins: [this.#plugin((file) => this.#run.sources.get(file))],
    });
  }

  /** @param limitOf what a test file may take of its own time */
  async run(run: Run, limitOf: (test: string) => RunTime): Promise<MutantRun> {
    this.#run = run;
    const passed = new Map<string, RanFile>();
    try {
      await this.#context!.rebuild();
      await this.#threads.build(run.mutant);
    } catch {
      return { failed: DOES_NOT_BUILD, at: undefined, passed };
    }
    const started = this.#where === 'thread' ? this.#startThread() : this.#startProcess();
    return new Promise((resolve) => {
      let at: string | undefined;
      let task: string | undefined;
      let beganMs = 0;
      let lookedMs = 0;
      let idleLooks = 0;
      let limit = STARTING;
      const look = setInterval(() => {
        // Before it has told where its time stands, all that can be done is to wait.
        if (task === undefined) idleLooks += 1;
        else {
          const { millis, isAsleep } = cpuTimeOf(task);
          if (isAsleep && millis === lookedMs) idleLooks += 1;
          lookedMs = millis;
        }
        if (lookedMs - beganMs > limit.cpuMs) end(TOO_MUCH_WORK);
        else if (idleLooks > limit.idleLooks) end(TOO_LONG_ASLEEP);
      }, LOOK_MS);
      const end = (failed?: string): void => {
        clearInterval(look);
        started.told.removeAllListeners();
        void started.stop().then(() => resolve({ failed, at, passed }));
      };
      started.told.on('message', (told: Told) => {
        task = told.task;
        if (told.began !== undefined) {
          at = told.began;
          beganMs = told.millis;
          idleLooks = 0;
          limit = limitOf(at);
        }
        if (told.failed !== undefined) end(told.failed);
        else if (told.passed !== undefined) {
          const { name, cases, reached } = told.passed;
          passed.set(name, { time: { cpuMs: told.millis - beganMs, idleLooks }, cases, reached });
        } else if (told.isDone) end();
      });
      started.told.once('error', (error) => end(String(error)));
      started.told.once('exit', () => end('exit'));
    });
  }

  #startThread(): Started {
    const worker = new Worker(this.#outfile, {
      stdout: true,
      stderr: true,
      env: this.#env(),
      // One that takes memory without end ends alone.
      resourceLimits: { maxOldGenerationSizeMb: 1024 },
    });
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
    return {
      ...process.env,
      TMPDIR: this.#folder,
      WIREPIT_WORKERS: this.#workers,
      [ASKED]: JSON.stringify(this.#run.asked),
    };
  }

  get #workers(): string {
    return join(this.#folder, 'workers');
  }

  async close(): Promise<void> {
    await this.#threads.close();
    await this.#context?.dispose();
  }

  #plugin(changed: (file: string) => string | undefined): Plugin {
    return {
      name: 'mutant',
      setup: (build) => {
        build.onLoad({ filter: /\/(src|test)\/.*\.tsx?$/ }, ({ path }) => {
          const source = changed(relative(this.#root, path)) ?? readFileSync(path, 'utf8');
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

export const DOES_NOT_BUILD = 'does not build';
export const TOO_MUCH_WORK = 'time: it works on and on';
export const TOO_LONG_ASLEEP = 'time: it sleeps on and on';
const LOOK_MS = 50;
/** Until a worker has read its bundle: ten minutes of the wall, for a machine that is very busy. */
const STARTING: RunTime = { cpuMs: Infinity, idleLooks: 600_000 / LOOK_MS };

/** What a mutant may take of its own time where the program as it is took `sound`. */
export function limitFrom(sound: RunTime): RunTime {
  return { cpuMs: 1000 + PATIENCE * sound.cpuMs, idleLooks: IDLE_LOOKS + PATIENCE * sound.idleLooks };
}

/** A mutant may be so much slower than the sound program; one that goes round for ever is slower still. */
const PATIENCE = 3;
/** Five seconds asleep with nothing done. */
const IDLE_LOOKS = 100;
