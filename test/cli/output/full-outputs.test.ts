import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseMidi } from 'midi-file';
import { beforeAll, describe, expect, it } from 'vitest';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { wirepitInShell } from '../../support/wirepit-in-shell.ts';

/** `/dev/full` answers each write with "no space left" (full(4)); `ulimit -f` lets no file grow beyond so many KiB. */

const FULL = existsSync('/dev/full');
if (!FULL) console.warn('skipped where a full device is needed: there is no /dev/full here');
const folder = tempFolder('full');
const song = join(folder, 'song.mid');
const NOTES = 2000;

beforeAll(() => {
  const events: DeltaEvent[] = [];
  for (let note = 0; note < NOTES; note += 1) {
    events.push([0, [0x90, 30 + (note % 60), 80]], [1, [0x80, 30 + (note % 60), 64]]);
  }
  writeFileSync(song, songBytes([events], { division: 960 }));
});

describe.skipIf(!FULL)('standard output or standard error that takes nothing', () => {
  it.each([
    ['check', ['check', song, '--json']],
    ['play', [song, '--headless', '--clock', 'virtual', '--json']],
    ['ports', ['ports']],
    ['the help', ['--help']],
  ])('a report of %s that cannot be written: one line, exit code 1', async (_, args) => {
    const { code, stderr } = await wirepitInShell('wirepit "$@" > /dev/full', ...args);
    expect(code).toBe(1);
    const told = stderr.split('\n').filter((line) => line.startsWith('wirepit:'));
    expect(told).toEqual([
      'wirepit: the report is not complete: the disk is full; make room, or send it somewhere else',
    ]);
    expect(stderr).not.toMatch(/^\s+at /m);
  });

  it('the music never stops for what cannot be told', async () => {
    const port = join(folder, 'port.txt');
    const words = [song, '--headless', '--json', '--port', `file:${port}`];
    const { code, stdout } = await wirepitInShell('wirepit "$@" 2> /dev/full', ...words);
    expect(code).toBe(1);
    expect(JSON.parse(stdout)).toMatchObject({ soundingAtEnd: 0, song: { file: song } });
    expect(JSON.parse(stdout).sent.noteOns + JSON.parse(stdout).skippedNoteOns).toBe(NOTES);
  });
});

describe('a record that finds no room', () => {
  const record = (name: string) =>
    wirepitInShell('ulimit -f 8; wirepit "$@"', song, ...PLAY, '--record', join(folder, name));
  const PLAY = ['--headless', '--clock', 'virtual', '--json'];

  it('as a song file: what was written before is a whole song; told once, exit code 1, all was played', async () => {
    const path = join(folder, 'take.mid');
    const { code, stdout, stderr } = await record('take.mid');
    expect(code).toBe(1);
    expect(stderr.match(/^wirepit: .*$/gm)).toEqual([
      `wirepit: a file may not grow any further here: record ${path} ends here; what is in it can be read`,
    ]);
    expect(JSON.parse(stdout).sent.noteOns).toBe(NOTES);
    const taken = readFileSync(path);
    expect(taken.length).toBeLessThanOrEqual(8 * 1024);
    expect(readSong(taken).findings).toEqual([]);
    expect(parseMidi(taken).tracks[0]!.at(-1)).toMatchObject({ type: 'endOfTrack' });
  });

  it('as a log: whole lines', async () => {
    const { code, stdout } = await record('take.txt');
    expect(code).toBe(1);
    expect(JSON.parse(stdout).sent.noteOns).toBe(NOTES);
    const text = readFileSync(join(folder, 'take.txt'), 'utf8');
    expect(text.length).toBeGreaterThan(7000);
    expect(text.endsWith('\n')).toBe(true);
    for (const line of text.trimEnd().split('\n').slice(1))
      expect(line).toMatch(/^\d+(\.\d)?\tmock\t.*\tchannel 1: note o/);
  });

  it('not even its beginning: refused before anything is played', async () => {
    const { code, stderr } = await wirepitInShell(
      'ulimit -f 0; wirepit "$@"',
      ...[song, ...PLAY, '--record', join(folder, 'none.txt')],
    );
    expect(code).toBe(2);
    expect(stderr).toMatch(/^wirepit: .*none\.txt: a file may not grow any further here; make room/m);
    expect(existsSync(join(folder, 'none.txt'))).toBe(false);
  });
});
