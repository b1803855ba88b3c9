import { execFileSync, spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, readdirSync, readFileSync, statSync, symlinkSync } from 'node:fs';
import { dirname, join, normalize } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import { ROOT } from '../support/run-wirepit.ts';
import { tempFolder } from '../support/temp-folder.ts';

// What a person who installs the package has; `npm run try-install` installs it in earnest (.ci/run).
let files: string[];
const folder = tempFolder('package');
const installed = join(folder, 'lib/node_modules/wirepit');

beforeAll(() => {
  // --ignore-scripts: other tests run what is built already.
  const told = execFileSync('npm', ['pack', '--dry-run', '--json', '--ignore-scripts'], {
    cwd: ROOT,
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'ignore'],
  });
  files = (JSON.parse(told) as [{ files: { path: string }[] }])[0].files.map(({ path }) => path);
  mkdirSync(installed, { recursive: true });
  for (const file of files) cpSync(join(ROOT, file), join(installed, file));
  // Only what is no part of the bundle is looked for among the packages.
  symlinkSync(join(ROOT, 'node_modules'), join(installed, 'node_modules'));
});

describe('the package', () => {
  it('may be published, and names only files that are there', () => {
    const about = JSON.parse(readFileSync(join(installed, 'package.json'), 'utf8'));
    expect(about.private).toBeUndefined();
    for (const path of [about.bin.wirepit, ...about.man]) expect(files).toContain(path);
    expect(statSync(join(installed, about.bin.wirepit)).mode & 0o111).toBeGreaterThan(0);
  });

  it('holds program, songs, docs and instruments, and nothing that only we need', () => {
    for (const path of ['LICENSE', 'README.md', 'docs/keys.md', 'songs/tide-study.mid']) {
      expect(files).toContain(path);
    }
    expect(files.some((path) => /^instruments\/.*\.toml$/.test(path))).toBe(true);
    expect(files.filter((path) => /\.tsx?$|^(src|test|scripts)\//.test(path))).toEqual([]);
  });

  it('starts from few files: each costs a start as much as a good deal of code', () => {
    const dist = join(ROOT, 'dist');
    /** A file and what it always imports, by the form that the bundler writes. */
    const withImports = (name: string, found: Set<string>): Set<string> => {
      if (found.has(name)) return found;
      found.add(name);
      const text = readFileSync(join(dist, name), 'utf8');
      for (const [, path] of text.matchAll(/(?:\bfrom|\bimport) ?"(\.[^"]+\.js)"/g)) {
        withImports(normalize(join(dirname(name), path!)), found);
      }
      return found;
    };
    const ofShow = readdirSync(join(dist, 'chunks')).find((name) => name.startsWith('run-set-'))!;
    const files = withImports(join('chunks', ofShow), withImports('wirepit.js', new Set()));
    expect(files.size).toBeGreaterThan(5);
    expect(files.size).toBeLessThan(30);
    // Ink and React, and the commands that do something else.
    const whole = [...files].map((name) => statSync(join(dist, name)).size).reduce((a, b) => a + b);
    expect(whole).toBeLessThan(700_000);
  });

  it('plays one of its songs from another folder, on an instrument it brought along', () => {
    const song = join(installed, 'songs/tide-study.mid');
    const args = [song, '--headless', '--clock', 'virtual', '--instrument', 'parlour-piano', '--json'];
    const ran = spawnSync(process.execPath, [join(installed, 'dist/wirepit.js'), ...args], {
      cwd: folder,
      encoding: 'utf8',
    });
    expect(ran.status, ran.stderr).toBe(0);
    expect(JSON.parse(ran.stdout).sent.bytes).toBeGreaterThan(1000);
  });

  it('without the native libraries, which npm leaves out where it has none: everything but their ports', () => {
    const bare = join(folder, 'bare');
    for (const file of files) cpSync(join(ROOT, file), join(bare, file));
    const run = (...args: string[]) =>
      spawnSync(process.execPath, [join(bare, 'dist/wirepit.js'), ...args], {
        cwd: folder,
        encoding: 'utf8',
      });
    const song = join(bare, 'songs/tide-study.mid');
    const played = run(song, '--headless', '--clock', 'virtual');
    expect(played.status, played.stderr).toBe(0);
    const refused = run(song, '--headless', '--wait', '--port', 'serial:/dev/null');
    expect(refused.status).toBe(2);
    expect(refused.stderr).toMatch(/^wirepit: serial:\/dev\/null: the serial library cannot be loaded/m);
    expect(run('ports').status).toBe(0);
    expect(run('--help').stdout.trim().split('\n').at(-1)).toBe(join(bare, 'docs/README.md'));
  });

  it('names in docs/install.md the processors that its native libraries are made for', () => {
    const parts = (path: string) =>
      readdirSync(join(ROOT, 'node_modules', path, 'prebuilds'), { recursive: true, encoding: 'utf8' });
    const serial = parts('@serialport/bindings-cpp').filter((name) => /^linux-.*node$/.test(name));
    const midi = parts('@julusian/midi').filter((name) => /^midi-linux-.*node$/.test(name));
    const has = (names: readonly string[], ...patterns: RegExp[]) =>
      patterns.map((pattern) => names.some((name) => pattern.test(name)));
    const cells = (name: string) =>
      new RegExp(`^\\| \`${name}\`(.*)\\|$`, 'm')
        .exec(readFileSync(join(ROOT, 'docs/install.md'), 'utf8'))![1]!
        .split('|')
        .slice(2)
        .map((cell) => cell.trim());
    expect(cells('@serialport/bindings-cpp')).toEqual(['glibc, musl', 'glibc, musl', 'glibc, musl', 'glibc']);
    expect(has(serial, /x64.*glibc/, /x64.*musl/, /armv8.glibc/, /armv8.musl/)).toEqual(Array(4).fill(true));
    expect(has(serial, /armv7.glibc/, /armv7.musl/, /armv6.glibc/, /armv6.musl/)).toEqual([
      true,
      true,
      true,
      false,
    ]);
    expect(cells('@julusian/midi')).toEqual(['glibc, musl', 'glibc', 'glibc', 'none']);
    expect(has(midi, /x64\//, /x64-musl/, /arm64\//, /arm64-musl/, /arm\//)).toEqual([
      true,
      true,
      true,
      false,
      true,
    ]);
  });
});
