import { existsSync, mkdirSync, readdirSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'esbuild';
import { denseSong } from '../timing/dense-song.ts';

const FOLDER = 'bench-results/screen';
/** The built program, as `npm run build` leaves it. */
export const PROGRAM = 'dist/wirepit.js';
export const SCREEN_PROGRAM = join(FOLDER, 'screen-program.js');
export const DAY_PROGRAM = join(FOLDER, 'day-program.js');

/** Bundles the bench's own programs the way the build bundles ours, so that both start and run alike. */
export async function bundlePrograms(): Promise<void> {
  mkdirSync(FOLDER, { recursive: true });
  await build({
    entryPoints: [
      { in: 'test/bench/screen/screen-program.tsx', out: 'screen-program' },
      { in: 'test/bench/screen/day-program.tsx', out: 'day-program' },
      { in: 'src/engine/run/engine-worker.ts', out: 'engine-worker' },
    ],
    outdir: FOLDER,
    bundle: true,
    splitting: true,
    format: 'esm',
    platform: 'node',
    target: 'node20',
    jsx: 'automatic',
    minify: true,
    define: { 'process.env.NODE_ENV': '"production"', 'process.env.DEV': '"false"' },
    external: ['@julusian/midi', 'serialport'],
    alias: { 'react-devtools-core': './scripts/no-devtools.mjs' },
    banner: {
      js: "import { createRequire as createRequireHere } from 'node:module'; const require = createRequireHere(import.meta.url);",
    },
    logLevel: 'warning',
  });
}

/** The largest song of our own; a song made for the clock's bench while there is none. */
export function demoSong(): string {
  const songs = existsSync('songs') ? readdirSync('songs').filter((name) => /\.midi?$/.test(name)) : [];
  const sized = songs.map((name) => ({
    path: join('songs', name),
    size: statSync(join('songs', name)).size,
  }));
  const [largest] = sized.sort((a, b) => b.size - a.size);
  if (largest !== undefined) return largest.path;
  const path = join(FOLDER, 'dense.mid');
  mkdirSync(FOLDER, { recursive: true });
  writeFileSync(path, denseSong(300));
  return path;
}

/** A folder for what a run leaves. */
export function resultPath(name: string): string {
  return join(FOLDER, name);
}
