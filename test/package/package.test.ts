import { execFileSync, spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, readFileSync, statSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
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
}, 60_000);

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
});
