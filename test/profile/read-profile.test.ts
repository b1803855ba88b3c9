import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { profileFolders } from '../../src/profile/profile-folders.ts';
import { profileNamed } from '../../src/profile/profile-named.ts';
import { Refusal } from '../../src/trouble/refusal.ts';
import { tempFolder } from '../support/temp-folder.ts';

function refusalOf(text: string): string {
  const file = join(tempFolder('profile'), 'p.toml');
  writeFileSync(file, text);
  try {
    profileNamed(file);
  } catch (error) {
    if (error instanceof Refusal) return error.message.replace(file, 'p.toml');
    throw error;
  }
  return '';
}

describe('what is wrong with a profile is one line with file, line and next step', () => {
  test.each([
    [
      'an unknown field',
      '[instrument]\nvoices = 8\nvoises = 8\n',
      /^p\.toml:3, instrument\.voises: there is no such field; /,
    ],
    ['no voices', '[instrument]\n\nvoices = 0\n', /^p\.toml:3, instrument\.voices: .*; mend/],
    ['a word for a number', '[instrument]\nparts = "four"\n', /^p\.toml:2, instrument\.parts: /],
    [
      'overlapping banks',
      '[[bank]]\nmsb = 1\nprograms = ["A"]\n[[bank]]\nmsb = 1\nprograms = ["B"]\n',
      /^p\.toml:4, bank\[2\]: .*same select/,
    ],
    [
      'a bank that nothing selects',
      '[[bank]]\nmsb = 1\nprograms = ["A"]\n[[bank]]\nprograms = ["B"]\n',
      /^p\.toml:4, bank\[2\]: nothing selects/,
    ],
    [
      'a million programs',
      `[[bank]]\nprograms = [${'"A",'.repeat(1_000_000)}]\n`,
      /^p\.toml:2, bank\[1\]\.programs: a bank has 128 programs at the most/,
    ],
    ['no TOML', '[instrument\n', /^p\.toml:1:\d+: this is not TOML/],
  ])('%s', (_, text, expected) => {
    const line = refusalOf(text);
    expect(line).toMatch(expected);
    expect(line).not.toContain('\n');
  });
});

describe('instruments by name', () => {
  test('the person’s own come before those shipped', () => {
    const config = tempFolder('profile');
    mkdirSync(join(config, 'wirepit/instruments'), { recursive: true });
    writeFileSync(join(config, 'wirepit/instruments/parlour-piano.toml'), '[instrument]\nname = "Mine"\n');
    const folders = profileFolders({ XDG_CONFIG_HOME: config });
    expect(profileNamed('parlour-piano', folders).instrument.name).toBe('Mine');
    expect(profileNamed('lindwurm-eight', folders).instrument).toMatchObject({ voices: 8, parts: 4 });
    expect(profileNamed('tin-beat-box', folders).instrument).toMatchObject({ runningStatus: false });
  });

  test('one that is not there is refused with those that are', () => {
    expect(() => profileNamed('no-such')).toThrow(/general-midi.*lindwurm-eight/);
  });
});
