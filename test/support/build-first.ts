import { execFileSync } from 'node:child_process';
import { copyFileSync, mkdirSync, readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { isRunning, openTempRoot } from './temp-root.ts';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));

/** Before all tests: they run what the sources say now, in a temporary folder of their own. */
export default function buildFirst(run?: { readonly config: { readonly watch: boolean } }): () => void {
  execFileSync(process.execPath, [join(ROOT, 'scripts/build.mjs'), '--if-stale'], { stdio: 'inherit' });
  const removeWorkers = run?.config.watch === false ? keepWorkers() : () => {};
  const removeRoot = openTempRoot();
  return () => {
    removeWorkers();
    removeRoot();
  };
}

/**
 * Threads are started from copies, hours perhaps after this and whatever becomes of sources and build meanwhile (another
 * branch, a build in between). They lie where packages are found from.
 */
function keepWorkers(): () => void {
  const cache = join(ROOT, 'node_modules/.cache/wirepit');
  const folder = join(cache, `run-${process.pid}`);
  mkdirSync(folder, { recursive: true });
  for (const name of readdirSync(cache)) {
    const killed = /^run-(\d+)$/.exec(name)?.[1];
    if (killed !== undefined && !isRunning(Number(killed))) rmSync(join(cache, name), { recursive: true });
  }
  for (const file of readdirSync(join(ROOT, 'dist'))) {
    if (!file.endsWith('-worker.js')) continue;
    copyFileSync(join(ROOT, 'dist', file), join(folder, file.replace(/js$/, 'mjs')));
  }
  process.env.WIREPIT_WORKERS = folder;
  return () => {
    delete process.env.WIREPIT_WORKERS;
    rmSync(folder, { recursive: true, force: true });
  };
}
