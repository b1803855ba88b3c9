import { parentPort } from 'node:worker_threads';
import { startTests, type VitestRunner } from '@vitest/runner';
import { testFile } from './test-file.ts';

/** What a test file is evaluated by, by its name. */
export type TestFiles = Readonly<Record<string, () => Promise<unknown>>>;

/** Runs test files in this thread or process, one after another, and tells `{ failed: name | undefined, passed: number }`. */
export async function runInWorker(files: TestFiles): Promise<void> {
  let passed = 0;
  const tell = (failed: string | undefined) => {
    if (parentPort) parentPort.postMessage({ failed, passed });
    else process.send!({ failed, passed });
  };
  process.on('uncaughtException', (error) => tell(`uncaught: ${error.message}`));
  for (const name of Object.keys(files)) {
    testFile.name = name;
    const runner = {
      config: CONFIG,
      importFile: (path: string) => files[path]!(),
      onAfterRunTask: (task: {
        type: string;
        name: string;
        result?: { state: string; errors?: { message: string }[] };
      }) => {
        if (task.result?.state === 'fail') tell(`${name}: ${task.name}: ${task.result.errors?.[0]?.message}`);
        if (task.type === 'test') passed += 1;
      },
    };
    const [file] = await startTests([name], runner as unknown as VitestRunner);
    if (file?.result?.state === 'fail') tell(`${name}: ${file.result.errors?.[0]?.message ?? 'failed'}`);
  }
  tell(undefined);
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
  testTimeout: 10_000,
  hookTimeout: 10_000,
  retry: 0,
  includeTaskLocation: false,
  diffOptions: undefined,
  tags: [],
  tagsFilter: undefined,
  strictTags: false,
};
