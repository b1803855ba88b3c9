import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { closeSync, existsSync, openSync, readFileSync, writeFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { freeChannel } from '../../../src/core/schedule/free-channel.ts';
import { VisitorInput } from '../../../src/core/schedule/visitor.ts';
import { PortWatch } from '../../../src/screen/scene/port-watch.ts';
import { answerOf } from '../../support/command-line.ts';
import { until } from '../../support/pty-pair.ts';
import { ROOT, WIREPIT } from '../../support/run-wirepit.ts';
import { sceneWith } from '../../support/scene.ts';
import { bytesOf } from '../../support/stream-log.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { timelineOf } from '../../support/timeline-of.ts';
import { WireReader } from '../../support/wire-reader.ts';
import { playReportSchema } from '../play-schema.ts';

const folder = tempFolder('along');
const PLAYED = join(folder, 'played.txt');
// Channel 8 of a keyboard; the first entry of a record is its beginning.
writeFileSync(PLAYED, '0 FE\n200000 97 3C 50 40 50 F8\n210000 87 3C 40 40 40\n220000 C7 05 F0 41 01 F7\n');
const FIFO = join(folder, 'fifo');
execFileSync('mkfifo', [FIFO]);
const SONG = ['play', 'songs/night-ferry.mid', '--headless', '--clock', 'virtual', '--to', '3s'];

describe('on which channel', () => {
  const song = timelineOf([
    [0, 0x90, 60, 80],
    [1, 0xb1, 7, 80],
    [2, 0x80, 60, 64],
  ]);

  test('the lowest that the song leaves alone, a port plays, and no drums are on', () => {
    expect(freeChannel(song, 1 << 9, 0xffff)).toBe(2);
    expect(freeChannel(song, (1 << 9) | (1 << 2), 0xffff)).toBe(3);
    expect(freeChannel(song, 1 << 9, 0xff00)).toBe(8);
    expect(freeChannel(song, 1 << 9, 0x0203)).toBe('as-played');
  });

  test.each<[string, string[], number | 'as-played', RegExp]>([
    ['free', [], 4, /played.txt plays along on channel 4\n/],
    ['named', ['--thru-channel', '1'], 1, /on channel 1, which the song plays too\n/],
    ['as played', ['--thru-channel', 'as-played'], 'as-played', /on the channels it sends on\n/],
  ])('%s: told, and in the report', async (_name, more, channel, words) => {
    const { code, stdout, stderr } = await answerOf([
      ...SONG,
      '--thru-from',
      `file:${PLAYED}`,
      '--json',
      ...more,
    ]);
    expect(code, stderr).toBe(0);
    expect(stderr).toMatch(words);
    const { playAlong, channels, soundingAtEnd } = playReportSchema.parse(JSON.parse(stdout));
    expect(playAlong).toMatchObject({ from: `file:${PLAYED}`, channel, notes: 2 });
    expect(playAlong!.held).toBe(channel === 1 ? 3 : 2); // the clock, the SysEx; beside the song its program too
    expect(soundingAtEnd).toBe(0);
    if (channel === 4) expect(channels[3]).toEqual({ channel: 4, noteOns: 2, programs: [6] });
    if (channel === 'as-played') expect(channels[7]!.noteOns).toBe(2);
  });
});

test.each<[string, string[], string]>([
  [
    'nobody',
    ['--thru-channel', '4'],
    '--thru-channel: nobody plays along; name their keyboard: --thru-from <port>',
  ],
  [
    'no channel',
    ['--thru-from', 'file:x', '--thru-channel', '17'],
    "--thru-channel: '17' is no channel; write 1 to 16",
  ],
  ['standard input', ['--thru-from', '-'], '--thru-from -: nobody plays on standard input; name a device'],
  [
    'a clock that jumps',
    ['--thru-from', 'raw:/dev/x'],
    'a clock that jumps cannot wait for somebody to play',
  ],
  ['a FIFO both ways', ['--thru-from', `raw:${FIFO}`, '--port', `raw:${FIFO}`], 'would be read here again'],
  ['a file that is not there', ['--thru-from', 'file:/nowhere'], 'file:/nowhere: cannot be read (ENOENT)'],
  [
    'a file that is written',
    ['--thru-from', `file:${PLAYED}`, '--port', `file:${PLAYED}`],
    'it is the file that is read',
  ],
])('%s: one line, exit 2', async (_name, more, line) => {
  const { code, stderr } = await answerOf([...SONG, ...more]);
  expect(code).toBe(2);
  expect(stderr).toContain(line);
  expect(stderr).not.toContain('    at ');
});

test('a keyboard that goes and comes back is told, and that it is there as the music begins is not', () => {
  const watch = new PortWatch();
  const scene = sceneWith();
  const look = (input: number): string[] => {
    scene.observed.numbers[Slot.visitorInput] = input;
    return watch.look({
      ...scene,
      song: { ...scene.song, playAlong: { from: 'raw:/dev/midi1', channel: 3 } },
    });
  };
  expect(look(VisitorInput.there)).toEqual([]);
  expect(look(VisitorInput.gone)).toEqual(['raw:/dev/midi1 is gone']);
  expect(look(VisitorInput.there)).toEqual(['raw:/dev/midi1 is there again']);
  expect(look(VisitorInput.ended)).toEqual(['raw:/dev/midi1 has ended']);
});

const messagesIn = (path: string): Uint8Array[] =>
  existsSync(path)
    ? readFileSync(path, 'latin1')
        .split('\n')
        .filter((line) => /^[\d.]+ /.test(line))
        .map((line) => bytesOf(line.replace(/^[\d.]+ /, '')))
    : [];

/** The real program, with a chord of somebody's down. */
async function playedAlong(name: string): Promise<{ show: ChildProcess; out: string; keyboard: number }> {
  const path = join(folder, `${name}-keyboard`);
  execFileSync('mkfifo', [path]);
  const keyboard = openSync(path, 'r+');
  const out = join(folder, `${name}.txt`);
  const args = ['songs/night-ferry.mid', '--headless', '--port', `file:${out}`, '--thru-from', `raw:${path}`];
  const show = spawn(process.execPath, [WIREPIT, ...args], { cwd: ROOT, stdio: 'ignore' });
  await until(() => messagesIn(out).length > 0);
  writeSync(keyboard, bytesOf('90 30 50 34 50 B0 40 7F'));
  const pedal = (bytes: Uint8Array) => bytes.length === 3 && bytes[0] === 0xb3 && bytes[1] === 0x40;
  await until(() => messagesIn(out).some((bytes) => pedal(bytes) && bytes[2] === 127));
  return { show, out, keyboard };
}

test('the program is told to end in the middle of somebody’s chord: its last bytes are silent', async () => {
  const { show, out, keyboard } = await playedAlong('ended');
  show.kill('SIGTERM');
  await once(show, 'exit');
  closeSync(keyboard);
  const reader = new WireReader();
  for (const bytes of messagesIn(out)) reader.read(bytes);
  expect(reader.noteOns.filter(({ channel }) => channel === 3)).toHaveLength(2);
  expect(reader.sounding).toBe(0);
  expect(reader.unrestful).toEqual([]);
  expect(reader.faults).toEqual([]);
});
