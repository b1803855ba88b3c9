import { existsSync, mkdirSync, renameSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { basename, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

/**
 * Finds the file to start a thread from, built or not. The build puts each `src/…/<name>-worker.ts` at
 * `dist/<name>-worker.js`; this code then lies in `dist/` or in a chunk folder below it. In the source tree
 * (benches, watched tests) the thread is bundled on the spot, since a worker of Node 20 takes neither TypeScript nor
 * a loader that would; a run of tests has them bundled before it begins, in the folder WIREPIT_WORKERS, so that nothing
 * which happens to the sources meanwhile is in its way.
 * @param path from the source folder, without ending: `engine/run/engine-worker`
 */
export function workerEntry(path: string): URL {
  if (import.meta.url.endsWith('.ts')) return bundled(path);
  const file = `${basename(path)}.js`;
  const beside = new URL(`./${file}`, import.meta.url);
  return existsSync(beside) ? beside : new URL(`../${file}`, import.meta.url);
}

/** Bundles once per content: threads and test processes that run at the same time share the file. */
function bundled(path: string): URL {
  const done = BUNDLES.get(path);
  if (done !== undefined) return done;
  const ready = process.env.WIREPIT_WORKERS;
  if (ready !== undefined) return pathToFileURL(join(ready, `${basename(path)}.mjs`));
  // Not imported at the top: to load these costs the built program, which never comes here, five milliseconds.
  const require = createRequire(import.meta.url);
  const esbuild = require('esbuild') as typeof import('esbuild');
  const { createHash } = require('node:crypto') as typeof import('node:crypto');
  const { outputFiles } = esbuild.buildSync({
    entryPoints: [fileURLToPath(new URL(`../${path}.ts`, import.meta.url))],
    bundle: true,
    format: 'esm',
    platform: 'node',
    target: 'node20',
    packages: 'external',
    sourcemap: 'inline',
    write: false,
  });
  const code = outputFiles[0]!.contents;
  const folder = new URL('../../node_modules/.cache/wirepit/', import.meta.url);
  const name = `${basename(path)}-${createHash('sha256').update(code).digest('hex').slice(0, 16)}`;
  const url = new URL(`${name}.mjs`, folder);
  if (!existsSync(url)) {
    mkdirSync(folder, { recursive: true });
    const draft = new URL(`${name}.${process.pid}`, folder);
    writeFileSync(draft, code);
    renameSync(draft, url);
  }
  BUNDLES.set(path, url);
  return url;
}

const BUNDLES = new Map<string, URL>();
