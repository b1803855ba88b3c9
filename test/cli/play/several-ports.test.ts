import { spawn, spawnSync } from 'node:child_process';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { answerOf } from '../../support/command-line.ts';
import { farEnd } from '../../support/far-end.ts';
import { ROOT, WIREPIT } from '../../support/run-wirepit.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import { readStream } from '../../support/stream-log.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { type PlayReportRead, playReportSchema } from '../play-schema.ts';

let folder: string;
let song: string;
beforeEach(() => {
  folder = tempFolder('several-ports');
  song = join(folder, 'song.mid');
  writeFileSync(song, duet());
});

/** Four seconds: a note at a time on channel 4, a chord of eight at a time on channel 13. */
function duet(): Uint8Array {
  const chord = [0, 3, 5, 7, 9, 12, 15, 19];
  const events: DeltaEvent[] = [];
  for (let beat = 0; beat < 16; beat += 1) {
    events.push([0, [0x93, 60 + beat, 64]]);
    for (const step of chord) events.push([0, [0x9c, 40 + step, 64]]);
    events.push([24, [0x83, 60 + beat, 64]]);
    for (const step of chord) events.push([0, [0x8c, 40 + step, 64]]);
    events.push([24, [0xb3, 7, 100]]);
  }
  return songBytes([events]);
}

interface Played {
  readonly code: number | null;
  readonly stderr: string;
  readonly report: PlayReportRead;
}

function play(...args: string[]): Promise<Played> {
  const child = spawn(process.execPath, [WIREPIT, song, '--headless', '--json', ...args], { cwd: ROOT });
  let [stdout, stderr] = ['', ''];
  child.stdout.on('data', (text) => {
    stdout += text;
  });
  child.stderr.on('data', (text) => {
    stderr += text;
  });
  return new Promise((resolve) =>
    child.once('close', (code) =>
      resolve({ code, stderr, report: playReportSchema.parse(JSON.parse(stdout)) }),
    ),
  );
}

/** On the virtual clock, in this process: no port but files. */
async function playAtOnce(...args: string[]): Promise<Played> {
  const { code, stderr, stdout } = await answerOf([
    ...[song, '--headless', '--json', '--clock', 'virtual'],
    ...args,
  ]);
  return { code, stderr, report: playReportSchema.parse(JSON.parse(stdout)) };
}

function fifos(...names: string[]): string[] {
  const paths = names.map((name) => join(folder, name));
  spawnSync('mkfifo', paths);
  return paths;
}

const noteOns = (bytes: Uint8Array) =>
  readStream([bytes]).messages.filter((text) => /^9. .. (?!00)/.test(text)).length;

describe('the report of a run', () => {
  it('names the instrument behind each port, where the map gives one', async () => {
    const ports = ['--port', `a=file:${join(folder, 'a')}`, '--port', `b=file:${join(folder, 'b')}`];
    const { report } = await playAtOnce(...ports, '--map', '1-8=a,9-16=b@lindwurm-eight');
    expect(report.ports.map(({ instrument }) => instrument)).toEqual([undefined, 'Lindwurm Eight']);
  });

  it('has an entry for each port, and the old figures are all of them or the worst', async () => {
    const [a, b] = [join(folder, 'a.txt'), join(folder, 'b.txt')];
    const ports = ['--port', `solo=file:${a}`, '--port', `file:${b}`, '--map', '13=2'];
    const { code, report } = await playAtOnce('--plan', 'file-order', ...ports);
    expect(code).toBe(0);
    const [solo, chords] = report.ports as [PlayReportRead['ports'][0], PlayReportRead['ports'][0]];
    expect(solo).toMatchObject({ name: 'solo', port: `file:${a}`, noteOns: 16, losses: 0, atEnd: 'fine' });
    expect(chords).toMatchObject({ name: '2', port: `file:${b}`, noteOns: 128, channels: [13] });
    expect(solo.channels).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 14, 15, 16]);
    // The files are the outside witness: a line a message.
    for (const [port, path] of [[solo, a] as const, [chords, b] as const]) {
      const lines = readFileSync(path, 'latin1').trimEnd().split('\n').slice(1);
      expect(port.messages).toBe(lines.length);
      expect(port.bytes).toBe(lines.reduce((sum, line) => sum + line.split(' ').length - 1, 0));
    }
    expect(report.sent).toEqual({
      messages: solo.messages + chords.messages,
      noteOns: 144,
      bytes: solo.bytes + chords.bytes,
    });
    // Eight notes with running status are 17 bytes of 320 µs (MIDI 1.0, p. 5).
    expect(chords.worstOnsetLatenessMicros).toBe(17 * 320);
    expect(solo.worstOnsetLatenessMicros).toBe((3 + 3) * 320); // a volume before it
    expect(report.wire.worstOnsetLatenessMicros).toBe(17 * 320);
    expect(chords.peakLoad).toBeGreaterThan(solo.peakLoad);
    expect(report.wire.peakLoad).toBeCloseTo((chords.peakLoad + solo.peakLoad) / 2, 3);
  });

  it('with one port, that port is all', async () => {
    const { report } = await playAtOnce('--port', 'mock');
    const [mock] = report.ports as [PlayReportRead['ports'][0]];
    expect(report.ports).toHaveLength(1);
    expect(mock).toMatchObject({ name: '1', port: 'mock', ...report.sent, ...report.wire });
    expect(mock.channels).toHaveLength(16);
  });
});

describe('a run whose port is gone at its end', () => {
  it('exits with 1 and says which of two, in one line; the other had everything', async () => {
    const [a, b] = fifos('a', 'b') as [string, string];
    const [stays, goes] = [farEnd(a), farEnd(b)];
    const done = play('--port', `x=raw:${a}`, '--port', `y=raw:${b}`, '--map', '13=y');
    await goes.received(100);
    goes.close();
    const { code, stderr, report } = await done;
    expect(code).toBe(1);
    expect(stderr.split('\n').filter((line) => line.startsWith('wirepit:'))).toEqual([
      `wirepit: port y (raw:${b}) gone as the run ended, so not everything was sent; wirepit ports lists what is here`,
    ]);
    expect(report.ports.map(({ losses, atEnd }) => [losses, atEnd])).toEqual([
      [0, 'fine'],
      [1, 'gone'],
    ]);
    // What a busy machine was too late for went to neither, and is counted.
    const { noteOns: there, bytes } = report.ports[0]!;
    expect(there).toBeGreaterThanOrEqual(16 - report.skippedNoteOns);
    expect(report.ports[1]!.noteOns).toBeLessThan(128);
    expect(noteOns(await stays.received(bytes))).toBe(there);
    stays.close();
  });

  it('exits with 0 when it came back before the end', async () => {
    const [b] = fifos('b') as [string];
    const before = farEnd(b);
    const done = play('--port', `raw:${b}`);
    await before.received(60);
    before.close();
    await new Promise((resolve) => setTimeout(resolve, 700)); // half a second of the song goes nowhere
    const after = farEnd(b);
    const { code, stderr, report } = await done;
    expect({ code, said: stderr.includes('wirepit:') }).toEqual({ code: 0, said: false });
    expect(report.ports[0]).toMatchObject({ losses: 1, atEnd: 'fine' });
    expect(report.ports[0]!.noteOns).toBeLessThan(144);
    after.close();
  });

  it('is remembered when the next song is whole; a song that is refused weighs more', async () => {
    const [b] = fifos('b') as [string];
    const missing = ['--port', `raw:${b}`, '--wait', '--headless', '--tempo', '400'];
    expect((await answerOf([song, song, ...missing])).code).toBe(1);
    expect((await answerOf([song, 'no-such-song.mid', ...missing])).code).toBe(2);
  });

  it.skipIf(!existsSync('/dev/full'))('a file on a full disk took no more: 1 as well', async () => {
    const { code, stderr } = await answerOf([
      song,
      '--headless',
      '--clock',
      'virtual',
      '--port',
      'file:/dev/full',
    ]);
    expect(code).toBe(1);
    expect(stderr).toContain('wirepit: port file:/dev/full full as the run ended');
  });
});

describe('names of ports', () => {
  it.each([
    ['two of one name', ['--port', 'a=mock', '--port', 'a=mock'], "two ports are called 'a'"],
    ['seventeen', Array(17).fill(['--port', 'mock']).flat(), '17 ports for 16 channels'],
  ])('%s are refused', async (_, ports, words) => {
    const { code, stderr } = await answerOf([song, '--headless', '--clock', 'virtual', ...ports]);
    expect(code).toBe(2);
    expect(stderr).toContain(words);
  });
});
