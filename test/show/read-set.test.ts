import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { keepSettings, keptPathOf } from '../../src/show/kept-settings.ts';
import { readSet } from '../../src/show/read-set.ts';
import { Refusal } from '../../src/trouble/refusal.ts';
import { tempFolder } from '../support/temp-folder.ts';

const folder = tempFolder('set');

function setFile(text: string, name = 'evening.toml'): string {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
}

const complaint = (text: string): string => {
  try {
    readSet(setFile(text));
  } catch (error) {
    if (error instanceof Refusal) return error.message.replace(`${folder}/`, '');
  }
  return 'none';
};

const FULL = `
[set]
name = "Harvest evening"
loop = true
shuffle = 7
ports = ["a=mock", "b=mock"]
map = "1-9=a,10=b"
gap-seconds = 5
volume = 90

[[section]]
name = "Late"
from = "22:00"
to = "02:30"

[[song]]
file = "one.mid"
from = "9"
to = "41:3"
tempo = 95.5
transpose = -2
mute = [5, 15]
programs = { 3 = 34 }
repeat = 2

[[song]]
file = "two.mid"
section = "Late"
wait-for-key = true
gap-seconds = 0
volume = 120
`;

describe('a set file', () => {
  test('is read: channels, programs and times as the program counts them', () => {
    const { set, ports, map } = readSet(setFile(FULL));
    expect({ ports, map, loops: set.loops, seed: set.shuffleSeed, name: set.name }).toEqual({
      ports: ['a=mock', 'b=mock'],
      map: '1-9=a,10=b',
      loops: true,
      seed: 7,
      name: 'Harvest evening',
    });
    expect(set.sections).toEqual([{ name: 'Late', fromMinute: 1320, toMinute: 150 }]);
    expect(set.songs).toMatchObject([
      {
        path: join(folder, 'one.mid'),
        from: '9',
        to: '41:3',
        tempoPercent: 95.5,
        transposeSemitones: -2,
        mute: [4, 14],
        programs: new Map([[2, 33]]),
        volumePercent: 90,
        repeats: 2,
        before: { seconds: 5, waitsForKey: false },
        section: undefined,
      },
      { volumePercent: 120, section: 0, before: { seconds: 0, waitsForKey: true } },
    ]);
  });

  test.each([
    [
      '[set]\nloop = 3\n[[song]]\nfile = "a"\n',
      'evening.toml:2, set.loop: expected boolean, received number; mend this value',
    ],
    [
      '[[song]]\nfile = "a"\nmute = [17]\n',
      'evening.toml:3, song[1].mute[1]: too big: expected number to be <=16; mend this value',
    ],
    [
      '[[song]]\nfile = "a"\n[[song]]\nfile = "b"\nsection = "Noon"\n',
      'evening.toml:5, song[2].section: there is no section "Noon"; add a [[section]] of that name',
    ],
    [
      '[[song]]\nfile = "a"\ntempoo = 3\n',
      'evening.toml:3, song[1].tempoo: there is no such field; check its spelling, or leave it out',
    ],
    [
      '[[section]]\nname = "x"\nfrom = "25:00"\nto = "10:00"\n[[song]]\nfile="a"\n',
      'evening.toml:3, section[1].from: expected a time of day as in "09:30"; mend this value',
    ],
  ])('what is wrong in it is told with its line: %#', (text, wanted) => {
    expect(complaint(text)).toBe(wanted);
  });
});

test('what is kept lies over the set, beside it, and the set stays as it was written', () => {
  const path = setFile(FULL, 'kept.toml');
  keepSettings(path, 'one.mid', { tempo: 110, mute: [1] });
  keepSettings(path, 'two.mid', { transpose: 3 });
  keepSettings(path, 'one.mid', { tempo: 111 });
  const { set } = readSet(path);
  expect(set.songs).toMatchObject([
    { tempoPercent: 111, mute: [4, 14], transposeSemitones: -2 },
    { tempoPercent: 100, transposeSemitones: 3 },
  ]);
  expect(readFileSync(path, 'utf8')).toBe(FULL);
  expect(keptPathOf(path)).toBe(join(folder, 'kept.kept.toml'));
});

test('a volume that somebody wrote into the kept file stays when the screen keeps the rest', () => {
  const kept = join(tempFolder('kept'), 'fair.toml');
  const path = keptPathOf(kept);
  writeFileSync(path, '[[song]]\nfile = "one.mid"\nvolume = 70\ntempo = 90\n');
  keepSettings(kept, 'one.mid', { tempo: 120 });
  expect(readFileSync(path, 'utf8')).toMatch(/volume = 70[\s\S]*tempo = 120/);
});
