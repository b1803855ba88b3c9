import { spawn } from 'node:child_process';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { FarBoard, freePort } from '../../support/far-board.ts';
import { ROOT, runWirepit, WIREPIT } from '../../support/run-wirepit.ts';
import { seeded } from '../../support/seeded.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { WirePipe } from '../../support/wire-pipe.ts';
import { WireReader } from '../../support/wire-reader.ts';

const SONG = 'songs/lamplight-parade.mid';

describe('two boards', () => {
  it('a song killed in mid-note is silent at the far board within its second', async () => {
    const port = await freePort();
    const thru = new WirePipe(join(tempFolder('boards'), 'thru'));
    const args = ['listen', '--from', `rtp:${port}`, '--thru', `raw:${thru.path}`, '--headless', '--json'];
    const far = spawn(process.execPath, [WIREPIT, ...args], {
      cwd: ROOT,
      stdio: ['ignore', 'pipe', 'ignore'],
    });
    let said = '';
    far.stdout.on('data', (chunk) => {
      said += chunk;
    });
    const left = new Promise((resolve) => far.once('close', resolve));
    const near = spawn(
      process.execPath,
      [WIREPIT, SONG, '--port', `rtp:127.0.0.1:${port}`, '--wait', '--headless', '--from', '2:1'],
      { cwd: ROOT, stdio: 'ignore' },
    );
    await thru.until((reader) => reader.sounding > 2, 'notes sound');
    near.kill('SIGKILL');
    await thru.until((reader) => reader.sounding === 0, 'silence');
    far.kill('SIGTERM');
    await left;
    expect(JSON.parse(said).packets).toMatchObject({ lost: 0, foreign: 0, unreadable: 0 });
    expect(JSON.parse(said).packets.heard).toBeGreaterThan(3);
    expect(thru.reader.sounding).toBe(0);
    expect(thru.reader.faults).toEqual([]);
    thru.close();
  });

  it('half of the packets lost: every note that is heard ends, and the report counts what was sent', async () => {
    // Four bars: of a few packets, as a machine that stands still sends them, chance could take every note.
    const chance = seeded(50);
    const far = await FarBoard.listening((packet) => packet < 1 || chance() >= 0.5);
    const args = [
      SONG,
      '--port',
      `rtp:127.0.0.1:${far.port}`,
      '--headless',
      '--json',
      '--from',
      '2:1',
      '--to',
      '6:1',
    ];
    const ran = await runWirepit([...args, '--tempo', '400']);
    const reader = new WireReader();
    reader.read(far.heard);
    far.close();
    expect(ran.code).toBe(0);
    expect(JSON.parse(ran.stdout).ports).toMatchObject([{ losses: 0, atEnd: 'fine' }]);
    expect(far.receiver.counts.lost).toBeGreaterThan(5);
    expect(reader.noteOns.length).toBeGreaterThan(0);
    expect(reader.sounding).toBe(0);
    expect(reader.faults).toEqual([]);
  });
});
