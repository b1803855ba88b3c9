import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { ROOT, runWirepit } from '../support/run-wirepit.ts';

const readme = readFileSync(join(ROOT, 'README.md'), 'utf8');
const packageJson = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8'));
const lines = [...readme.matchAll(/^```\n([^`]*?)```$/gm)].map((match) => match[1]!.trim());

describe('the README', () => {
  test('has one command line that installs and runs, and one that installs and tests', () => {
    expect(lines.filter((line) => /^npm ci && npm start -- \S+\.mid$/.test(line))).toHaveLength(1);
    expect(lines.filter((line) => line === 'npm ci && npm test')).toHaveLength(1);
    expect(packageJson.scripts).toMatchObject({ start: expect.anything(), test: expect.anything() });
  });

  test('plays a song that exists: the same arguments, without a screen', async () => {
    const song = lines
      .find((line) => line.includes('npm start'))!
      .split(' ')
      .at(-1)!;
    const { code, stdout } = await runWirepit([song, '--headless', '--clock', 'virtual', '--json']);
    expect(code).toBe(0);
    expect(JSON.parse(stdout).sent.noteOns).toBeGreaterThan(0);
  });

  for (const name of ['README.md', 'DEVELOPERS.md']) {
    test(`${name} links to files that exist`, () => {
      const text = readFileSync(join(ROOT, name), 'utf8');
      const links = [...text.matchAll(/\]\(([^)#:]+)\)/g)].map((match) => match[1]!);
      expect(links.filter((link) => !existsSync(join(ROOT, link)))).toEqual([]);
    });
  }
});
