import { parentPort } from 'node:worker_threads';
import { startTests, type VitestRunner } from '@vitest/runner';
import fc from 'fast-check';
import { cpuTimeOf, ownTask } from './cpu-time.ts';
import { testFile } from './test-file.ts';
import { REACHED } from './with-probes.ts';

/** What a test file is evaluated by, by its name. */
export type TestFiles = Readonly<Record<string, () => Promise<unknown>>>;

/** [test file] the cases of it that are asked, by their ids; null: all of them. */
export type Asked = Readonly<Record<string, readonly string[] | null>>;

/** Where a worker finds what it is asked, as JSON. */
export const ASKED = 'WIREPIT_ASKED';

/** What one case of a test file took, and the numbers of the probes it reached. */
export interface RanCase {
  readonly id: string;
  readonly cpuMs: number;
  readonly reached: readonly number[];
}

/** What a worker tells: of each file as it begins and has passed, and of the end. */
export interface Told {
  /** Where its time stands (`cpuTimeOf`). */
  readonly task: string;
  /** Its time so far. */
  readonly millis: number;
  readonly began?: string;
  readonly passed?: {
    readonly name: string;
    readonly cases: readonly RanCase[];
    /** Probes reached before, between and behind the cases. */
    readonly reached: readonly number[];
  };
  readonly failed?: string;
  readonly isDone?: true;
}

interface Task {
  readonly type: string;
  readonly id: string;
  readonly name: string;
  mode: string;
  readonly tasks?: readonly Task[];
  readonly result?: { readonly state: string; readonly errors?: readonly { readonly message: string }[] };
}

/** Runs test files in this thread or process, one after another, until one fails. */
export async function runInWorker(files: TestFiles): Promise<void> {
  const task = ownTask(parentPort ? 'thread' : 'process');
  const millis = () => cpuTimeOf(task).millis;
  const tell = (what: Omit<Told, 'task' | 'millis'>) => {
    const told: Told = { task, millis: millis(), ...what };
    if (parentPort) parentPort.postMessage(told);
    else process.send!(told);
  };
  process.on('uncaughtException', (error) => tell({ failed: `uncaught: ${error.message}` }));
  let reached = new Set<number>();
  (globalThis as Record<string, unknown>)[REACHED] = (number: number) => reached.add(number);
  // The same cases for every mutant; the first that fails is enough, nobody reads the smallest.
  fc.configureGlobal({ seed: 1, endOnFailure: true });
  for (const [name, ids] of Object.entries(JSON.parse(process.env[ASKED]!) as Asked)) {
    testFile.name = name;
    tell({ began: name });
    const between = new Set<number>();
    reached = between;
    const cases: RanCase[] = [];
    let began = 0;
    const runner = {
      config: CONFIG,
      importFile: (path: string) => files[path]!(),
      onCollected: (collected: readonly Task[]) => {
        if (ids !== null) for (const one of collected) leaveOut(one, new Set(ids));
      },
      onBeforeRunTask: ({ mode }: Task) => {
        if (mode !== 'run' && mode !== 'queued') return;
        reached = new Set();
        began = millis();
      },
      onAfterRunTask: (ran: Task) => {
        cases.push({ id: ran.id, cpuMs: millis() - began, reached: [...reached] });
        reached = between;
        if (ran.result?.state === 'fail')
          tell({ failed: `${name}: ${ran.name}: ${ran.result.errors?.[0]?.message}` });
      },
    };
    const [file] = await startTests([name], runner as unknown as VitestRunner);
    if (file?.result?.state === 'fail')
      tell({ failed: `${name}: ${file.result.errors?.[0]?.message ?? 'failed'}` });
    tell({ passed: { name, cases, reached: [...between] } });
  }
  tell({ isDone: true });
}

/** Skips what is not among the ids. */
function leaveOut(task: Task, ids: ReadonlySet<string>): void {
  if (task.type === 'test' && !ids.has(task.id)) task.mode = 'skip';
  for (const one of task.tasks ?? []) leaveOut(one, ids);
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
