import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as after } from 'node:timers/promises';
import { compareMusic, type MusicComparison } from '../../../src/core/compare/compare-music.ts';
import { readHeardFile } from '../../../src/core/compare/heard-file.ts';
import { songPart } from '../../../src/core/compare/song-part.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { PtyPair } from '../../support/pty-pair.ts';
import { WIREPIT } from '../../support/run-wirepit.ts';

export interface PtyRecord {
  readonly found: MusicComparison;
  /** What the player says of itself (`play --json`): note-ons that it left out, and how late the latest was on its wire. */
  readonly leftOut: number;
  readonly latestMicros: number;
}

/**
 * The built program plays the first seconds of a song in real time through a pty pair, another one records what arrives, and
 * the record is compared with that part of the song.
 * @throws Error when nothing was recorded
 */
export async function comparePtyRecord(
  bytes: Uint8Array,
  timeline: Timeline,
  seconds: number,
): Promise<PtyRecord> {
  const folder = mkdtempSync(join(tmpdir(), 'pty-record-'));
  const pair = await PtyPair.plugged();
  try {
    const song = join(folder, 'song.mid');
    const record = join(folder, 'heard.log');
    writeFileSync(song, bytes);
    const listener = run('listen', '--from', `serial:${pair.far}`, '--record', record, '--headless');
    listener.stdout!.resume();
    await after(OPEN_MS);
    const player = run(
      ...['play', song, '--port', `serial:${pair.near}`, '--to', `${seconds}s`],
      ...['--headless', '--allow-sysex', '--json'],
    );
    let said = '';
    player.stdout!.on('data', (text) => {
      said += text;
    });
    await once(player, 'close');
    await after(300);
    listener.kill('SIGTERM');
    await once(listener, 'exit');
    const heard = readHeardFile(new Uint8Array(readFileSync(record)));
    if (heard.kind !== 'heard') throw new Error(`line ${heard.line} of the record is none`);
    const report = JSON.parse(said) as {
      skippedNoteOns: number;
      wire: { worstOnsetLatenessMicros: number };
    };
    return {
      found: compareMusic(songPart(timeline, 0, seconds * 1e6 - 1), heard.music),
      leftOut: report.skippedNoteOns,
      latestMicros: report.wire.worstOnsetLatenessMicros,
    };
  } finally {
    await pair.remove();
    rmSync(folder, { recursive: true, force: true });
  }
}

function run(...args: string[]): ChildProcess {
  return spawn(process.execPath, [WIREPIT, ...args], { stdio: ['ignore', 'pipe', 'ignore'] });
}

/** A listener is open by then also where three others start beside it. */
const OPEN_MS = 1500;
