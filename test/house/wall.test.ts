import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';

/**
 * The compiler already keeps Node, the console and timers out of the core (`src/core/tsconfig.json`). It does
 * not see the four things below, nor which folder may import which. Style: docs/architecture.md, "The wall".
 */
const src = resolve(dirname(fileURLToPath(import.meta.url)), '../../src');
const files = readdirSync(src, { recursive: true, encoding: 'utf8' })
  .filter((name) => /\.tsx?$/.test(name))
  .map((name) => name.split(sep).join('/'));
const text = new Map(files.map((name) => [name, readFileSync(join(src, name), 'utf8')]));

function importsOf(name: string): string[] {
  const found: string[] = [];
  for (const match of text.get(name)!.matchAll(/(?:\bfrom\s+|\bimport\s*\(?\s*)'([^']+)'/g))
    found.push(match[1]!);
  return found;
}

/** Files of ours that a file imports, types among them. */
function importedBy(name: string): string[] {
  return importsOf(name)
    .filter((from) => from.startsWith('.') && /\.tsx?$/.test(from))
    .map((from) =>
      relative(src, resolve(src, dirname(name), from))
        .split(sep)
        .join('/'),
    );
}

const layers = [
  'core',
  'trouble',
  'files',
  'profile',
  'board',
  'show',
  'ports',
  'engine',
  'check',
  'listen',
  'loop',
  'watch',
  'screen',
  'cli',
];
/** What each top folder may import from, itself aside. */
const mayUse: Record<string, readonly string[]> = {
  core: [],
  trouble: [],
  files: ['core', 'trouble'],
  // What is connected, from TOML and name documents: zod and XML stay here.
  profile: ['core', 'trouble', 'files'],
  // The small machine of `prepare`, and the emulated one: zod and the emulator stay here.
  board: ['core', 'trouble', 'files'],
  show: ['core', 'trouble', 'files'],
  ports: ['core', 'trouble', 'files'],
  engine: ['core', 'trouble', 'files', 'ports'],
  check: ['core', 'trouble', 'files', 'engine'],
  listen: ['core', 'trouble', 'files', 'ports', 'engine'],
  loop: ['core', 'trouble', 'files', 'ports', 'engine'],
  watch: ['core', 'trouble', 'engine'],
  screen: ['core', 'engine'],
  cli: [
    'core',
    'trouble',
    'files',
    'ports',
    'engine',
    'check',
    'listen',
    'loop',
    'watch',
    'screen',
    'show',
    'profile',
    'board',
  ],
};

describe('the wall round the core', () => {
  const core = files.filter((file) => file.startsWith('core/') && !file.endsWith('.d.ts'));

  test('no file asks the date, chance or the environment', () => {
    const impure = core.filter((name) => {
      const code = text.get(name)!.replace(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, '');
      return /\bDate\b|\bMath\.random\b|^\s*declare\b/m.test(code);
    });
    expect(impure).toEqual([]);
  });

  test('midi-file, which writes songs, is the only package', () => {
    const packages = core.flatMap((name) => importsOf(name).filter((from) => !from.startsWith('.')));
    expect(packages.filter((from) => from !== 'midi-file')).toEqual([]);
  });
});

/** The stages inside the core, in the order the data walks: each imports only from itself and those before it. */
const stages = [
  'midi',
  'smf',
  'timeline',
  'instrument',
  'arrange',
  'wire',
  'schedule',
  'network',
  'follow',
  'observe',
  'report',
  'capture',
  'compare',
  'loop',
  'export',
  'show',
];

describe('the data walks one way', () => {
  test('every room of the core has its place, and imports only from those before it', () => {
    const wrong = files
      .filter((name) => name.startsWith('core/'))
      .flatMap((name) => {
        const place = stages.indexOf(name.split('/')[1]!);
        if (place < 0) return [`${name} has no place`];
        return importsOf(name)
          .filter((from) => from.startsWith('.'))
          .map((from) => relative(join(src, 'core'), resolve(src, dirname(name), from)).split(sep)[0]!)
          .filter((room) => stages.indexOf(room) > place)
          .map((room) => `${name} imports from ${room}`);
      });
    expect(wrong).toEqual([]);
  });

  test('every folder of src has its place in the order', () => {
    const tops = new Set(files.map((name) => name.split('/')[0]!));
    expect([...tops].filter((top) => !layers.includes(top))).toEqual([]);
  });

  test('every file imports only from its own folder and those before it', () => {
    const wrong = files.flatMap((name) => {
      const own = name.split('/')[0]!;
      return importsOf(name)
        .filter((from) => from.startsWith('.') && !from.endsWith('/package.json'))
        .map((from) => relative(src, resolve(src, dirname(name), from)).split(sep)[0]!)
        .filter((top) => top !== own && !mayUse[own]!.includes(top))
        .map((top) => `${name} imports from ${top}`);
    });
    expect(wrong).toEqual([]);
  });

  test('Ink and React end where docs/architecture.md says', () => {
    const users = files.filter((name) => importsOf(name).some((from) => from === 'ink' || from === 'react'));
    const allowed = /^screen\/(ink-frame\/|dialogs\/[^/]*\.tsx$|app\.tsx$|run-screen\.tsx$)/;
    expect(users.filter((name) => !allowed.test(name))).toEqual([]);
    expect(users.length).toBeGreaterThan(0);
  });

  test('no two rooms of the screen import each other', () => {
    const roomOf = (name: string) => name.split('/').slice(1, -1).join('/') || 'screen itself';
    const uses = new Set<string>();
    for (const name of files.filter((file) => file.startsWith('screen/'))) {
      for (const to of importedBy(name).filter((file) => file.startsWith('screen/'))) {
        if (roomOf(to) !== roomOf(name)) uses.add(`${roomOf(name)} → ${roomOf(to)}`);
      }
    }
    expect([...uses].filter((use) => uses.has(use.split(' → ').reverse().join(' → ')))).toEqual([]);
  });

  test('no file of ours imports itself, by whatever way round', () => {
    const done = new Set<string>();
    const cycles: string[] = [];
    const follow = (name: string, way: readonly string[]): void => {
      if (way.includes(name)) cycles.push([...way.slice(way.indexOf(name)), name].join(' → '));
      if (done.has(name) || way.includes(name)) return;
      for (const to of importedBy(name)) follow(to, [...way, name]);
      done.add(name);
    };
    for (const name of files) follow(name, []);
    expect(cycles).toEqual([]);
  });

  test('no file hides behind a name that says nothing', () => {
    const empty = files.filter((name) =>
      /(^|\/)(utils?|common|misc|helpers?|manager|index)(\.|\/)/.test(name),
    );
    expect(empty).toEqual([]);
  });
  // The linter has no rule that tells `at++` as a value (`bytes[at++]`) from a step of its own.
  test('a step of its own is written `+= 1`', () => {
    const step = /(?:^\s*|; |\) |else |do )[\w$#.[\]!]+(?:\+\+|--)[;)]/m;
    expect(files.filter((name) => step.test(text.get(name)!))).toEqual([]);
  });

  // Private members are written `#name`, which the linter holds: no `private`, `protected` or `public`.
  test('an element that is known to be there is written `cells[at]!`, not `as number`', () => {
    expect(files.filter((name) => /\] as number\b(?!\[| \|)/.test(text.get(name)!))).toEqual([]);
  });

  test('a file past 250 lines gives its reason at the top', () => {
    const long = files.filter(
      (name) => text.get(name)!.split('\n').length > 250 && !/Length:/.test(text.get(name)!.slice(0, 1500)),
    );
    expect(long).toEqual([]);
  });
});
