import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { constants } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { WIREPIT } from '../support/run-wirepit.ts';
import { type DeltaEvent, songBytes } from '../support/song-bytes.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { WireReader } from '../support/wire-reader.ts';

/**
 * Endings are tested by ending: a real program in mid-chord, each way out of it, then the bytes it left. The
 * judge is a reader of the MIDI 1.0 wire that shares nothing with the program.
 */
const folder = tempFolder('ways-out');
const bundles = fileURLToPath(
  new URL(`../../node_modules/.cache/wirepit/ways-out-${process.pid}`, import.meta.url),
);

/** Bundled once, as the program is: started through a compiler it takes several times as long. */
beforeAll(async () => {
  await build({
    entryPoints: [
      { in: 'test/engine/fixtures/hold-chord.ts', out: 'hold-chord' },
      { in: 'src/engine/run/engine-worker.ts', out: 'engine-worker' },
    ],
    outdir: bundles,
    bundle: true,
    format: 'esm',
    platform: 'node',
    packages: 'external',
  });
});
afterAll(() => rmSync(bundles, { recursive: true }));

const started: ChildProcess[] = [];
/** Also where a test gave up waiting for it. */
afterEach(() => {
  for (const child of started.splice(0)) child.kill('SIGKILL');
});

function start(file: string, way: string): ChildProcess {
  const child = spawn(process.execPath, [join(bundles, 'hold-chord.js'), file, way], {
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  started.push(child);
  return child;
}

const untilSounding = (child: ChildProcess) => untilSaid(child, 'sounding');

function untilSaid(child: ChildProcess, word: string): Promise<void> {
  return new Promise((resolve, reject) => {
    let said = '';
    const hear = (chunk: Buffer) => {
      said += chunk;
      if (said.includes(`${word}\n`)) resolve();
    };
    child.stdout!.on('data', hear);
    child.stderr!.on('data', hear);
    child.once('exit', (code) => reject(new Error(`ended with ${code} before ${word}: ${said}`)));
  });
}

function ended(child: ChildProcess): Promise<number | null> {
  return new Promise((resolve) => {
    child.once('exit', (code) => resolve(code));
  });
}

/** Reads the file as a receiver would have heard it. */
function heard(file: string): { reader: WireReader; lastMicros: number } {
  const lines = readFileSync(file, 'latin1').split('\n').slice(1, -1);
  const reader = new WireReader();
  let lastMicros = 0;
  for (const line of lines) {
    const [time, ...hex] = line.split(' ');
    lastMicros = Number(time);
    reader.read(hex.map((byte) => Number.parseInt(byte, 16)));
  }
  return { reader, lastMicros };
}

async function untilChord(file: string): Promise<void> {
  while (!existsSync(file) || heard(file).reader.noteOns.length < 24) {
    await new Promise((resolve) => setTimeout(resolve, 50)); // the file is written twice a second
  }
}

function expectSilence(file: string): WireReader {
  const { reader } = heard(file);
  expect(reader.noteOns.length).toBeGreaterThanOrEqual(24);
  expect(reader.sounding).toBe(0);
  expect(reader.unrestful).toEqual([]);
  expect(reader.faults).toEqual([]);
  for (let channel = 0; channel < 4; channel += 1) {
    expect(reader.said.get(`${channel}:cc123`)).toBe(0);
    expect(reader.said.get(`${channel}:cc120`)).toBe(0);
  }
  return reader;
}

describe('nothing is left sounding, and the exit code tells the way out', () => {
  test.each(['SIGINT', 'SIGTERM', 'SIGQUIT', 'SIGABRT', 'SIGUSR1'] as const)('%s', async (signal) => {
    const file = join(folder, `${signal}.txt`);
    const child = start(file, 'signal');
    await untilSounding(child);
    child.kill(signal);
    expect(await ended(child)).toBe(128 + constants.signals[signal]);
    expectSilence(file);
  });

  test.each([
    ['exit', 3],
    ['throw', 70],
    ['reject', 70],
  ] as const)('%s', async (way, code) => {
    const file = join(folder, `${way}.txt`);
    const child = start(file, way);
    await untilSounding(child);
    expect(await ended(child)).toBe(code);
    expectSilence(file);
  });

  test('a signal while the main thread is busy', async () => {
    const file = join(folder, 'busy.txt');
    const child = start(file, 'busy');
    await untilSounding(child);
    child.kill('SIGTERM');
    expect(await ended(child)).toBe(128 + constants.signals.SIGTERM);
    expectSilence(file);
  });

  test('a second signal while leaving changes nothing', async () => {
    const file = join(folder, 'twice.txt');
    const child = start(file, 'signal');
    await untilSounding(child);
    // Two signals sent at once come in either order: the first must have been taken.
    const leaving = untilSaid(child, 'leaving');
    const end = ended(child);
    child.kill('SIGINT');
    await leaving;
    child.kill('SIGINT');
    child.kill('SIGTERM');
    expect(await end).toBe(128 + constants.signals.SIGINT);
    expectSilence(file);
  });

  test('a backlog of many seconds is not played out first', async () => {
    const file = join(folder, 'backlog.txt');
    const child = start(file, 'backlog');
    await untilSounding(child);
    child.kill('SIGTERM');
    expect(await ended(child)).toBe(128 + constants.signals.SIGTERM);
    const reader = expectSilence(file);
    // 6,000 notes on one channel at a time take more than 12 s of the wire; most were never struck.
    expect(reader.noteOns.length).toBeLessThan(3000);
  });
});

describe('the built program without a screen', () => {
  const song = join(folder, 'long.mid');
  const chord = Array.from({ length: 24 }, (_, i): DeltaEvent => [0, [0x90 | (i % 4), 40 + i * 2, 90]]);
  writeFileSync(song, songBytes([[[0, [0xb0, 64, 127]], ...chord, [96 * 1000, [0xb0, 64, 0]]]]));

  test.each(['SIGINT', 'SIGTERM', 'SIGHUP'] as const)('%s', async (signal) => {
    const file = join(folder, `program-${signal}.txt`);
    const child = spawn(process.execPath, [WIREPIT, song, '--headless', '--port', `file:${file}`], {
      stdio: ['ignore', 'ignore', 'pipe'],
    });
    await untilChord(file);
    child.kill(signal);
    expect(await ended(child)).toBe(128 + constants.signals[signal]);
    expectSilence(file);
  });
});

test('a reader of its status lines that goes away ends the program as it would any other', async () => {
  const song = join(folder, 'long.mid');
  const file = join(folder, 'pipe.txt');
  const child = spawn(process.execPath, [WIREPIT, song, '--headless', '--port', `file:${file}`], {
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  child.stderr!.resume();
  await untilChord(file);
  child.stderr!.destroy();
  expect(await ended(child)).toBe(128 + constants.signals.SIGPIPE);
  expectSilence(file);
});

test('the judge hears a note that is left sounding', async () => {
  // SIGKILL cannot be caught: what was flushed by then shows the chord, and no silence after it.
  const file = join(folder, 'SIGKILL.txt');
  const child = start(file, 'signal');
  await untilChord(file);
  child.kill('SIGKILL');
  await ended(child);
  expect(heard(file).reader.sounding).toBe(24);
});
