import { spawn, spawnSync } from 'node:child_process';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { answerOf } from '../../support/command-line.ts';
import { type FarEnd, farEnd } from '../../support/far-end.ts';
import { hasSocat, PtyPair } from '../../support/pty-pair.ts';
import { ROOT, runWirepit, WIREPIT } from '../../support/run-wirepit.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import { readStream } from '../../support/stream-log.ts';
import { tempFolder } from '../../support/temp-folder.ts';

let folder: string;
let song: string;
beforeEach(() => {
  folder = tempFolder('play-ports');
  song = join(folder, 'song.mid');
  const events: DeltaEvent[] = [
    [0, [0xc3, 19]],
    [0, [0xcc, 40]],
  ];
  for (let beat = 0; beat < 12; beat += 1) {
    events.push(
      [24, [0x93, 60 + beat, 64]],
      [0, [0x9c, 40, 64]],
      [24, [0x83, 60 + beat, 64]],
      [0, [0x8c, 40, 64]],
    );
  }
  writeFileSync(song, songBytes([events]));
});

function play(...args: string[]) {
  const child = spawn(process.execPath, [WIREPIT, song, '--headless', '--json', ...args], { cwd: ROOT });
  let stdout = '';
  child.stdout.on('data', (text) => {
    stdout += text;
  });
  return new Promise<{ code: number | null; report: { sent: { messages: number }; soundingAtEnd: number } }>(
    (resolve) => child.once('close', (code) => resolve({ code, report: JSON.parse(stdout) })),
  );
}

function noteOns(bytes: Uint8Array): string[] {
  return readStream([bytes]).messages.filter((text) => /^9. .. (?!00)/.test(text));
}

describe('the program on real ports', () => {
  it('plays to two modules, each its channels, and records what it sent', async () => {
    const [a, b, take] = [join(folder, 'a'), join(folder, 'b'), join(folder, 'take.mid')];
    spawnSync('mkfifo', [a, b]);
    const ends = [farEnd(a), farEnd(b)] as [FarEnd, FarEnd];
    const { code, report } = await play(
      '--port',
      `x=raw:${a}`,
      '--port',
      `y=raw:${b}`,
      '--map',
      '1-8=x,9-16=y',
      '--record',
      take,
    );
    expect(code).toBe(0);
    const heard = await Promise.all(ends.map((end) => end.received(30)));
    expect(noteOns(heard[0]!).map((text) => text.slice(0, 2))).toEqual(Array(12).fill('93'));
    expect(noteOns(heard[1]!).map((text) => text.slice(0, 2))).toEqual(Array(12).fill('9C'));
    const { events } = readSong(readFileSync(take));
    const sent = [...events.status.subarray(0, events.count)].filter((status) => status < 0xf0);
    expect(sent).toHaveLength(report.sent.messages);
    for (const end of ends) end.close();
  });

  it.skipIf(!hasSocat)(
    'waits for a device that is not there yet, and plays from the beginning when it comes',
    async () => {
      const pair = new PtyPair();
      const done = play('--port', `serial:${pair.near}`, '--wait', '--on-port-loss', 'pause');
      await new Promise((resolve) => setTimeout(resolve, 800));
      await pair.plug();
      const far = farEnd(pair.far);
      const { code, report } = await done;
      expect(code).toBe(0);
      expect(report.soundingAtEnd).toBe(0);
      const bytes = await far.received(100);
      expect(readStream([bytes]).faults).toEqual([]);
      // What fell into the moment before the loss was noticed is not played late.
      expect(noteOns(bytes).length).toBeGreaterThanOrEqual(20);
      far.close();
      await pair.remove();
    },
  );

  it('refuses a device that is not there, in one line, and makes no record', async () => {
    const take = join(folder, 'take.mid');
    const ran = await answerOf([song, '--headless', '--port', 'serial:/dev/no-such-uart', '--record', take]);
    expect(ran).toMatchObject({ code: 2, stdout: '' });
    expect(ran.stderr).toBe(
      'wirepit: serial:/dev/no-such-uart: there is no such device; `wirepit ports` lists what is here\n',
    );
    expect(existsSync(take)).toBe(false);
  });
});

describe('wirepit ports', () => {
  it('lists what can be named and says how to get what is missing', async () => {
    const ran = await runWirepit(['ports']);
    expect(ran.code).toBe(0);
    expect(ran.stdout).toMatch(/^mock +out /m);
    expect(ran.stdout).toMatch(/^raw:<device or FIFO> +in, out /m);
    expect(ran.stderr).toBe(''); // libasound's own lines stay away
    const list = JSON.parse((await answerOf(['ports', '--json'])).stdout);
    expect(list.ports.map(({ name }: { name: string }) => name)).toContain('mock');
    for (const trouble of list.troubles) expect(trouble.remedy).not.toBe('');
  });
});
