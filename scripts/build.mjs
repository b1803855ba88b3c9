// Bundles the program: dist/wirepit.js with the chunks it loads when they are needed, and one file for each
// `*-worker.ts`; with them its man page.
// `--if-stale` builds only when a source file is newer than the last build.
import { execFileSync } from 'node:child_process';
import {
  chmodSync,
  existsSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');
const src = join(root, 'src');
const dist = join(root, 'dist');
const main = join(dist, 'wirepit.js');

const sources = readdirSync(src, { recursive: true, encoding: 'utf8' }).filter((name) =>
  /\.tsx?$/.test(name),
);
if (process.argv.includes('--if-stale') && existsSync(main)) {
  const built = statSync(main).mtimeMs;
  const inputs = [
    ...sources.map((name) => join(src, name)),
    join(root, 'package.json'),
    fileURLToPath(import.meta.url),
  ];
  if (inputs.every((path) => statSync(path).mtimeMs <= built)) process.exit(0);
}

// Some bundled packages are CommonJS and call require() for Node's own modules.
const REQUIRE =
  "import { createRequire as createRequireHere } from 'node:module'; const require = createRequireHere(import.meta.url);";

/**
 * A file of its own has what most starts do without. Whatever else is imported when it is needed is run then, and stands in
 * the files that are there: to find, read and link a hundred small ones takes a start longer than to compile what it does
 * not need.
 */
const APART = [
  'program.ts',
  'listen.ts',
  'listen-screen.ts',
  'ink-stage.ts',
  'fitted-song.ts',
  'profile-named.ts',
  'run-set.ts',
];
const inPlace = {
  name: 'in-place',
  setup({ onLoad }) {
    onLoad({ filter: /[\\/]src[\\/].*\.tsx?$/ }, ({ path }) => {
      const text = readFileSync(path, 'utf8');
      const contents = text.replace(/\bimport\('(\.[^']+)'\)/g, (all, file) =>
        APART.includes(basename(file)) ? all : `Promise.resolve().then(() => require('${file}'))`,
      );
      return contents === text ? undefined : { contents, loader: path.endsWith('x') ? 'tsx' : 'ts' };
    });
  },
};

const workers = sources.filter((name) => name.endsWith('-worker.ts'));
// Made beside `dist` and moved there whole, so that a run that starts meanwhile finds one build or the other.
const draft = join(root, `dist-draft-${process.pid}`);
const options = {
  outdir: draft,
  bundle: true,
  format: 'esm',
  platform: 'node',
  target: 'node20',
  jsx: 'automatic',
  minify: true,
  keepNames: false,
  legalComments: 'none',
  // Yoga asks whether there is a fetch() before it unpacks itself, and asking makes Node load all of it: 30 ms.
  define: { 'process.env.NODE_ENV': '"production"', 'process.env.DEV': '"false"', fetch: 'undefined' },
  // Native modules stay packages; Ink's development aid is never loaded.
  external: ['@julusian/midi', 'serialport', 'z80-emulator'],
  alias: { 'react-devtools-core': join(root, 'scripts/no-devtools.mjs') },
  banner: { js: REQUIRE },
  logLevel: 'warning',
};
// Apart, so that no code is cut into chunks for a thread's sake: each file more that has to be found, read and
// linked costs a start a millisecond.
await Promise.all([
  build({
    ...options,
    entryPoints: [{ in: join(src, 'cli/wirepit.ts'), out: 'wirepit' }],
    splitting: true,
    plugins: [inPlace],
    chunkNames: 'chunks/[name]-[hash]',
  }),
  build({
    ...options,
    entryPoints: workers.map((name) => ({ in: join(src, name), out: basename(name, '.ts') })),
  }),
]);
// A file that calls none does without it: Node then need not make up what `import.meta` is, a hundred times at a start.
for (const name of readdirSync(draft, { recursive: true, encoding: 'utf8' })) {
  if (!name.endsWith('.js')) continue;
  const text = readFileSync(join(draft, name), 'utf8');
  const rest = text.replace(REQUIRE, '');
  if (!/\brequire\b/.test(rest)) writeFileSync(join(draft, name), rest);
}
chmodSync(join(draft, 'wirepit.js'), 0o755);
// The man page is what the program says of itself; it goes into the package ("man" in package.json).
writeFileSync(join(draft, 'wirepit.1'), execFileSync(process.execPath, [join(draft, 'wirepit.js'), 'man']));
const old = join(root, `dist-old-${process.pid}`);
if (existsSync(dist)) renameSync(dist, old);
renameSync(draft, dist);
rmSync(old, { recursive: true, force: true });
