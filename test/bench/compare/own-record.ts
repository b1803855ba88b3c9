import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { readByteDump } from '../../../src/core/capture/byte-dump.ts';
import { compareMusic, type MusicComparison } from '../../../src/core/compare/compare-music.ts';
import { heardFromChunks } from '../../../src/core/compare/hear.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { runWirepit } from '../../support/run-wirepit.ts';

/**
 * The built program plays a song on the virtual clock into a file port, with its own plan, and its record is compared.
 * @throws Error when the program did not play it, or left no times
 */
export async function compareOwnRecord(bytes: Uint8Array, timeline: Timeline): Promise<MusicComparison> {
  const all = await compareRecord(bytes, timeline, '--allow-sysex');
  // Without leave for makers' own: they are missing, and none of them is missed.
  const hasSysEx = timeline.columns.payloadStart.length > 0;
  return all.verdict === 'same' && hasSysEx ? compareRecord(bytes, timeline) : all;
}

async function compareRecord(
  bytes: Uint8Array,
  timeline: Timeline,
  ...more: string[]
): Promise<MusicComparison> {
  const folder = mkdtempSync(join(tmpdir(), 'own-record-'));
  try {
    const song = join(folder, 'song.mid');
    const record = join(folder, 'record.txt');
    writeFileSync(song, bytes);
    const ran = await runWirepit([
      'play',
      song,
      '--port',
      `file:${record}`,
      '--clock',
      'virtual',
      '--headless',
      ...more,
    ]);
    if (ran.code !== 0)
      throw new Error(`play ended with ${ran.code}: ${ran.stderr.trim().split('\n').at(-1)}`);
    const dump = readByteDump(new Uint8Array(readFileSync(record)));
    if (dump.kind !== 'timed') throw new Error(`the record is ${dump.kind}`);
    return compareMusic(timeline, heardFromChunks(dump.chunks));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
