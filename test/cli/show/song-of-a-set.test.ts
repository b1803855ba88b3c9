import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { answerOf } from '../../support/command-line.ts';
import { ROOT } from '../../support/run-wirepit.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const SONG = join(ROOT, 'songs/lamplight-parade.mid');
const folder = tempFolder('song-of-a-set');
let runs = 0;

/** What goes to the wire, and when: a `file:` port's record. */
async function sentBy(args: readonly string[]): Promise<string> {
  runs += 1;
  const sent = join(folder, `sent-${runs}.txt`);
  const answer = await answerOf([...args, '--headless', '--clock', 'virtual', '--port', `file:${sent}`]);
  expect(answer.code, answer.stderr).toBe(0);
  return readFileSync(sent, 'utf8');
}

function setWith(song: string, set = ''): string {
  runs += 1;
  const path = join(folder, `set-${runs}.toml`);
  writeFileSync(path, `[set]\n${set}\n[[song]]\nfile = "${SONG}"\n${song}\n`);
  return path;
}

describe('a song of a set sounds as it does alone with the same settings', () => {
  test.each([
    ['', []],
    ['from = "3"\nto = "5:2"', ['--from', '3', '--to', '5:2']],
    ['to = "4"\ntempo = 80', ['--to', '4', '--tempo', '80']],
    ['to = "4"\ntranspose = -5', ['--to', '4', '--transpose', '-5']],
    ['from = "20"\nto = "24"\nmute = [1, 10]', ['--from', '20', '--to', '24', '--mute', '1,10']],
    ['from = "20"\nto = "24"\nsolo = [2]', ['--from', '20', '--to', '24', '--solo', '2']],
    ['to = "4"\nvolume = 50', ['--to', '4', '--volume', '50']],
    ['to = "4"\ninstrument = "parlour-piano"', ['--to', '4', '--instrument', 'parlour-piano']],
    [
      'to = "4"\ninstrument = "lindwurm-eight"\nfit = true',
      ['--to', '4', '--instrument', 'lindwurm-eight', '--fit'],
    ],
  ])('%j', async (song, flags) => {
    expect(await sentBy(['show', setWith(song)])).toBe(await sentBy(['play', SONG, ...flags]));
  });

  test('and differs by each of them', async () => {
    const songs = ['', 'tempo = 80', 'transpose = -5', 'mute = [4]', 'volume = 50', 'programs = { 1 = 20 }'];
    const sent: string[] = [];
    for (const song of songs) sent.push(await sentBy(['show', setWith(`from = "20"\nto = "24"\n${song}`)]));
    expect(new Set(sent).size).toBe(songs.length);
    // Program 20, counted from 1, on channel 1 (MIDI 1.0, Table II).
    expect(sent[5]).toMatch(/ C0 13\b/);
    expect(sent[0]).not.toMatch(/ C0 13\b/);
  });

  test('what is said for the whole set holds for a song that says nothing else', async () => {
    const plain = await sentBy(['show', setWith('to = "3"', 'volume = 50')]);
    expect(plain).toBe(await sentBy(['show', setWith('to = "3"\nvolume = 50')]));
    expect(await sentBy(['show', setWith('to = "3"\nvolume = 100', 'volume = 50')])).not.toBe(plain);
  });
});
