import { copyFileSync, existsSync, linkSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { fittedSong } from '../../../src/cli/fit/fitted-song.ts';
import { loadSong } from '../../../src/files/load-song.ts';
import { fetchInstruments } from '../../../src/profile/instrument-shelf.ts';
import { answerOf } from '../../support/command-line.ts';
import { ROOT, runWirepit } from '../../support/run-wirepit.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { FIT_SHAPE } from '../fit-schema.ts';

const SONG = join(ROOT, 'songs/lamplight-parade.mid');
const FEW = ['--voices', '6', '--parts', '3', '--full', 'released', '--release-time', '200'];

test('a song fitted to few voices and parts; fitting it again gives the same file', async () => {
  const folder = tempFolder('fit');
  const [out, again] = [join(folder, 'fitted.mid'), join(folder, 'again.mid')];
  const first = await runWirepit(['fit', SONG, ...FEW, '--out', out, '--json']);
  expect(first).toMatchObject({ code: 0, stderr: '' });
  const document = FIT_SHAPE.parse(JSON.parse(first.stdout));
  expect(document.changed).toBe(true);
  expect(document.after.parts).toBeLessThanOrEqual(3);
  expect(document.after.notesCut).toBe(0);
  expect(document.after.lossPercent).toBeLessThan(document.before.lossPercent);
  const second = await answerOf(['fit', out, ...FEW, '--out', again, '--json']);
  expect(JSON.parse(second.stdout)).toMatchObject({ changed: false });
  expect(readFileSync(again)).toEqual(readFileSync(out));
});

test('the report for people names every channel', async () => {
  const { stdout, code } = await answerOf(['fit', SONG, ...FEW]);
  expect(code).toBe(0);
  for (let channel = 1; channel <= 16; channel += 1)
    expect(stdout).toMatch(new RegExp(`^ {2,3}${channel} `, 'm'));
  expect(stdout).toContain('Nothing was written; --out names a file.');
});

test('the song is never written over, by whatever name, and another file only with consent', async () => {
  const folder = tempFolder('fit-over');
  const [song, link, other] = ['song.mid', 'link.mid', 'other.mid'].map((name) => join(folder, name));
  copyFileSync(SONG, song!);
  linkSync(song!, link!);
  writeFileSync(other!, 'mine');
  const itself = await answerOf(['fit', song!, '--out', link!, '--replace']);
  expect(itself.code).toBe(2);
  expect(itself.stderr).toContain('this is the song itself; give --out another name');
  const there = await answerOf(['fit', song!, '--out', other!]);
  expect(there.code).toBe(2);
  expect(there.stderr).toContain('there is a file of this name; choose another, or add --replace');
  expect(readFileSync(other!, 'utf8')).toBe('mine');
  expect((await answerOf(['fit', song!, '--out', other!, '--replace'])).code).toBe(0);
  expect(readFileSync(song!)).toEqual(readFileSync(SONG));
  const nowhere = join(folder, 'none', 'x.mid');
  expect((await answerOf(['fit', song!, '--out', nowhere])).code).toBe(2);
  expect(existsSync(nowhere)).toBe(false);
});

test('a bad option is refused in one line', async () => {
  const { code, stderr } = await answerOf(['fit', SONG, '--full', 'loudest']);
  expect(code).toBe(2);
  expect(stderr).toContain('full');
  expect(stderr.trim().split('\n')).toHaveLength(1);
});

test('play --fit tells the screen which channels fitting emptied, and why', async () => {
  await fetchInstruments(['lindwurm-eight']);
  const { loaded } = fittedSong(loadSong('songs/night-ferry.mid'), { instrument: 'lindwurm-eight' });
  expect([...loaded.emptied!]).toContainEqual([9, 'left out: no drums']);
  const sounding = new Set<number>();
  const { count, status, data2 } = loaded.timeline.columns;
  for (let row = 0; row < count; row += 1) {
    if ((status[row]! & 0xf0) === 0x90 && data2[row]! > 0) sounding.add(status[row]! & 15);
  }
  for (const channel of loaded.emptied!.keys()) expect(sounding).not.toContain(channel);
});

test('play --fit tells the screen of a part for which none was left', async () => {
  const folder = tempFolder('fit-part');
  const box = join(folder, 'box.toml');
  writeFileSync(box, '[instrument]\nname = "Box"\nchannels = [1]\nparts = 1\n[drums]\nchannels = []\n');
  await fetchInstruments([box]);
  // Two at once, the longer on channel 2 bent, so that nothing plays along with it: channel 1 has no part.
  const song = join(folder, 'two.mid');
  writeFileSync(
    song,
    songBytes([
      [
        [0, [0xc0, 0]],
        [0, [0xc1, 40]],
        [0, [0xe1, 0, 96]],
        ...[72, 74, 76].flatMap((key): DeltaEvent[] => [
          [0, [0x91, key, 100]],
          [96, [0x81, key, 64]],
        ]),
        [0, [0x91, 72, 100]],
        [0, [0x90, 60, 60]],
        [48, [0x80, 60, 64]],
        [48, [0x81, 72, 64]],
      ],
    ]),
  );
  const { loaded } = fittedSong(loadSong(song), { instrument: box });
  expect([...loaded.emptied!]).toEqual([
    [0, 'left out: no part left'],
    [1, 'plays on 1'],
  ]);
});

const MAP = '1-9=a@lindwurm-eight,10=b@tin-beat-box';

test('fit --map: each port gets its instrument, and check then says that all fits', async () => {
  const folder = tempFolder('fit-map');
  const [song, out, again] = ['night.mid', 'night-fitted.mid', 'again.mid'].map((name) => join(folder, name));
  copyFileSync(join(ROOT, 'songs/night-ferry.mid'), song!);
  const check = JSON.parse((await answerOf(['check', song!, '--map', MAP, '--json'])).stdout);
  expect(check.verdict).toBe('fits-with-changes');
  expect(check.command).toEqual(['fit', '--map', MAP, '--out', out, song]);
  const first = await answerOf([...check.command, '--json']);
  expect(first).toMatchObject({ code: 0, stderr: '' });
  const document = FIT_SHAPE.parse(JSON.parse(first.stdout));
  expect(document.instruments.map(({ port, name }) => `${port} ${name}`)).toEqual([
    'a Lindwurm Eight',
    'b Tin Beat Box',
  ]);
  expect(document.channels.map(({ channel, port }) => `${channel} ${port}`)).toEqual([
    '1 a',
    '2 a',
    '3 a',
    '10 b',
  ]);
  const fitted = JSON.parse((await answerOf(['check', out!, '--map', MAP, '--json'])).stdout);
  expect(fitted).toMatchObject({ verdict: 'fits', command: ['play', '--map', MAP, out] });
  await answerOf(['fit', out!, '--map', MAP, '--out', again!]);
  expect(readFileSync(again!)).toEqual(readFileSync(out!));
});

test('fit --map tells people the port of each channel, and of music that a port does not hear', async () => {
  const night = join(ROOT, 'songs/night-ferry.mid');
  const { stdout, code } = await answerOf(['fit', night, '--map', '1-9=a,10=drums@parlour-piano']);
  expect(code).toBe(0);
  expect(stdout).toContain('night-ferry.mid on a (General MIDI), drums (Parlour Piano)');
  expect(stdout).toMatch(/^ {3}1 {8}at a {10}63 notes {2}plays on 1$/m);
  expect(stdout).toMatch(/^ {2}10 drums {2}at drums {6}71 notes {2}not heard; 71 left out/m);
  expect(stdout).toContain(
    'drums (Parlour Piano) plays nothing of channel 10; it hears channel 1, which the map sends elsewhere',
  );
});

test('a channel that the map sends to two ports is refused', async () => {
  const { code, stderr } = await answerOf(['fit', SONG, '--map', '1-9=a,9-16=b']);
  expect(code).toBe(2);
  expect(stderr).toBe('wirepit: --map: channel 9 goes to a and to b; send each channel to one port\n');
});

test('play --fit --map fits each part to its instrument, and says so', async () => {
  await fetchInstruments(['lindwurm-eight', 'tin-beat-box']);
  const written = loadSong(join(ROOT, 'songs/night-ferry.mid'));
  const fitted = fittedSong(written, { map: MAP });
  expect(fitted.instrument).toBe('a (Lindwurm Eight), b (Tin Beat Box)');
  expect([...(fitted.loaded.emptied ?? [])]).toEqual([]);
  // Neither port is a song's first or second by chance: what the ports are called decides.
  const swapped = fittedSong(written, { map: MAP, port: ['b=mock', 'a=mock'] });
  expect(swapped.instrument).toBe('b (Tin Beat Box), a (Lindwurm Eight)');
  const drumless = fittedSong(written, { map: '1-9=a@tin-beat-box,10=b@lindwurm-eight' });
  expect([...drumless.loaded.emptied!]).toContainEqual([9, 'left out: no drums']);
  const flags = ['--fit', '--map', MAP, '--headless', '--clock', 'virtual'];
  const { code, stderr } = await answerOf(['play', join(ROOT, 'songs/night-ferry.mid'), ...flags]);
  expect(code).toBe(0);
  expect(stderr).toMatch(/fitted to a \(Lindwurm Eight\), b \(Tin Beat Box\): loss [\d.]+ % as written/);
});

test('play --fit plays what fit would write', async () => {
  const { code, stderr } = await answerOf(['play', SONG, '--fit', '--headless', '--clock', 'virtual']);
  expect(code).toBe(0);
  expect(stderr).toMatch(/fitted to General MIDI: loss|fits General MIDI as it is/);
});
