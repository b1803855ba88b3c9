import { parentPort } from 'node:worker_threads';
import { startTests, type VitestRunner } from '@vitest/runner';
import fc from 'fast-check';
import { cpuTimeOf, ownTask } from './cpu-time.ts';
import { testFile } from './test-file.ts';

/** What a test file is evaluated by, by its name. */
export type TestFiles = Readonly<Record<string, () => Promise<unknown>>>;

/** What a worker tells: of each file as it begins and has passed, and of the end. */
export interface Told {
  /** Where its time stands (`cpuTimeOf`). */
  readonly task: string;
  /** Its time so far. */
  readonly millis: number;
  readonly began?: string;
  readonly passed?: string;
  readonly failed?: string;
  readonly isDone?: true;
}

/** Runs test files in this thread or process, one after another, until one fails. */
export async function runInWorker(files: TestFiles): Promise<void> {
  const task = ownTask(parentPort ? 'thread' : 'process');
  const tell = (what: Omit<Told, 'task' | 'millis'>) => {
    const told: Told = { task, millis: cpuTimeOf(task).millis, ...what };
    if (parentPort) parentPort.postMessage(told);
    else process.send!(told);
  };
  process.on('uncaughtException', (error) => tell({ failed: `uncaught: ${error.message}` }));
  // The same cases for every mutant; the first that fails is enough, nobody reads the smallest.
  fc.configureGlobal({ seed: 1, endOnFailure: true });
  for (const name of Object.keys(files)) {
    testFile.name = name;
    tell({ began: name });
    const runner = {
      config: CONFIG,
      importFile: (path: string) => files[path]!(),
      onAfterRunTask: (ran: {
        type: string;
        name: string;
        result?: { state: string; errors?: { message: string }[] };
      }) => {
        if (ran.result?.state === 'fail')
          tell({ failed: `${name}: ${ran.name}: ${ran.result.errors?.[0]?.message}` });
      },
    };
    const [file] = await startTests([name], runner as unknown as VitestRunner);
    if (file?.result?.state === 'fail')
      tell({ failed: `${name}: ${file.result.errors?.[0]?.message ?? 'failed'}` });
    tell({ passed: name });
  }
  tell({ isDone: true });
}

const CONFIG = {
  root: '/',
  setupFiles: [],
  name: undefined,
  passWithNoTests: true,
  testNamePattern: undefined,
  allowOnly: true,
  sequence: { shuffle: false, concurrent: false, seed: 1, hooks: 'stack', setupFiles: 'list' },
  chaiConfig: {},
  maxConcurrency: 1,
  // The one who started the worker looks at its own time (`MutantRunner`); the wall says how busy the machine is.
  testTimeout: 0,
  hookTimeout: 0,
  retry: 0,
  includeTaskLocation: false,
  diffOptions: undefined,
  tags: [],
  tagsFilter: undefined,
  strictTags: false,
};
