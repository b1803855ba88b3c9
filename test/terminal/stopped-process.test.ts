import { spawn } from 'node:child_process';
import { existsSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { denseSong } from '../bench/timing/dense-song.ts';
import { WIREPIT } from '../support/run-wirepit.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { WireReader } from '../support/wire-reader.ts';

const folder = tempFolder('stopped');
const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

interface NoteOn {
  readonly micros: number;
  readonly name: string;
}

/** Note-ons in the order of the wire, and what a receiver still hears at the end. */
function heard(file: string): { noteOns: NoteOn[]; sounding: number } {
  const reader = new WireReader();
  const noteOns: NoteOn[] = [];
  for (const line of readFileSync(file, 'latin1').split('\n').slice(1, -1)) {
    const [time, ...hex] = line.split(' ');
    const before = reader.noteOns.length;
    reader.read(hex.map((byte) => Number.parseInt(byte, 16)));
    for (const { channel, key } of reader.noteOns.slice(before))
      noteOns.push({ micros: Number(time), name: `${channel}:${key}` });
  }
  return { noteOns, sounding: reader.sounding };
}

/**
 * The song has sixteen note-ons each 80 ms. Stopped and continued the process is late by as long as it stood; were
 * what it missed sent at once, hundreds of notes would come in a heap.
 */
test.concurrent.each([
  ['a short stop: what is too late is skipped, the clock goes on', 400, 'skippedNoteOns'],
  ['a long stop: the music waited', 2500, 'noteOns'],
])('%s', async (_, stopMs, says) => {
  const song = join(folder, `${stopMs}.mid`);
  const file = join(folder, `${stopMs}.txt`);
  writeFileSync(song, denseSong(4));
  const child = spawn(process.execPath, [WIREPIT, song, '--headless', '--json', '--port', `file:${file}`], {
    stdio: ['ignore', 'pipe', 'ignore'],
  });
  let json = '';
  child.stdout.on('data', (chunk) => {
    json += chunk;
  });
  const ended = new Promise((resolve) => child.once('close', resolve));
  while (!existsSync(file) || statSync(file).size < 2000) await pause(20);
  child.kill('SIGSTOP');
  await pause(stopMs);
  child.kill('SIGCONT');
  await ended;
  const { noteOns, sounding } = heard(file);
  expect(sounding).toBe(0);
  // In no 100 ms more than two chords of sixteen, however the machine is loaded.
  for (let first = 0, last = 0; last < noteOns.length; last += 1) {
    while (noteOns[last]!.micros - noteOns[first]!.micros >= 100_000) first += 1;
    expect(last - first + 1).toBeLessThanOrEqual(32 + 16);
  }
  const report = JSON.parse(json) as { skippedNoteOns: number; sent: { noteOns: number } };
  expect(report.sent.noteOns + report.skippedNoteOns).toBe(50 * 16);
  expect(report.sent.noteOns).toBe(noteOns.length);
  if (says === 'skippedNoteOns') expect(report.skippedNoteOns).toBeGreaterThan(16);
});
