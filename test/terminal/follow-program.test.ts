import { spawn } from 'node:child_process';
import { closeSync, constants, openSync, writeFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, vi } from 'vitest';
import { farEnd } from '../support/far-end.ts';
import { hasSocat, PtyPair } from '../support/pty-pair.ts';
import { runInPty } from '../support/pty-run.ts';
import { WIREPIT } from '../support/run-wirepit.ts';
import { songBytes } from '../support/song-bytes.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { WAIT_MILLIS } from '../support/wait-millis.ts';
import { WireReader } from '../support/wire-reader.ts';

const SONG = join(tempFolder('follow'), 'long.mid');
/** Half an hour of notes as long as a quarter. */
writeFileSync(
  SONG,
  songBytes([
    Array.from({ length: 3600 }, (_, n) => [0, [0x90, 60 + (n & 1), 100]] as [number, number[]]).flatMap(
      (on) => [on, [96, [0x80, on[1][1]!, 64]] as [number, number[]]],
    ),
  ]),
);

/** Another machine: sends a clock without end, and what it is told to. */
function master(path: string) {
  const fd = openSync(path, constants.O_WRONLY | constants.O_NOCTTY | constants.O_NONBLOCK);
  const timer = setInterval(() => writeSync(fd, Uint8Array.of(0xf8)), 10);
  return {
    say: (...bytes: number[]) => void writeSync(fd, Uint8Array.from(bytes)),
    close() {
      clearInterval(timer);
      closeSync(fd);
    },
  };
}

describe.skipIf(!hasSocat)('a clock that comes over a wire', () => {
  it('drives the song; Stop and a signal are silent; clock, keyboard and instrument may share a device', async () => {
    const pair = await PtyPair.plugged();
    const instrument = farEnd(pair.far);
    const port = `serial:${pair.near}`;
    const beside = ['--thru-from', port, '--thru-channel', '5'];
    const args = ['play', SONG, '--headless', '--follow', port, '--port', port, ...beside];
    const program = spawn(process.execPath, [WIREPIT, ...args], { stdio: ['ignore', 'ignore', 'pipe'] });
    let said = '';
    program.stderr.on('data', (chunk) => {
      said += chunk;
    });
    const exited = new Promise<number | null>((resolve) => program.once('exit', resolve));
    try {
      await vi.waitUntil(() => said.includes('clock waited for'), { timeout: WAIT_MILLIS });
      const clock = master(pair.far);
      const reader = new WireReader();
      let read = 0;
      const until = async (isSo: () => boolean): Promise<void> => {
        while (!isSo()) {
          const bytes = await instrument.received(read + 1);
          reader.read(bytes.subarray(read));
          read = bytes.length;
        }
      };
      clock.say(0xfa);
      await until(() => reader.noteOns.length >= 3);
      clock.say(0x91, 40, 90, 0xf8, 44, 90);
      await until(() => reader.open.has(4 * 128 + 40) && reader.open.has(4 * 128 + 44));
      clock.say(0xfc);
      await until(() => reader.sounding === 0 && reader.said.get('0:cc123') !== undefined);
      const before = reader.noteOns.length;
      clock.say(0xfb);
      await until(() => reader.noteOns.length > before && reader.sounding > 0);
      clock.say(0x91, 47, 90);
      await until(() => reader.open.has(4 * 128 + 47));
      program.kill('SIGTERM');
      expect(await exited).toBe(143);
      clock.close();
      reader.read((await instrument.received(read)).subarray(read));
      expect(reader.sounding).toBe(0);
      expect(reader.faults).toEqual([]);
    } finally {
      program.kill('SIGKILL');
      instrument.close();
      await pair.remove();
    }
  });

  it('shows what it waits for, follows, and a cable pulled and put back', async () => {
    const pair = await PtyPair.plugged();
    const run = runInPty(process.execPath, [
      WIREPIT,
      SONG,
      '--follow',
      `serial:${pair.near}`,
      '--port',
      'raw:/dev/null',
    ]);
    try {
      await run.untilText('waits for the clock from serial:');
      let clock = master(pair.far);
      await run.untilText(/‖ waits .*♩\d/);
      clock.say(0xf2, 64, 0, 0xfb);
      // 64 sixteenths are four bars.
      await run.untilText(/▶ follows 5:\d/);
      clock.close();
      await pair.unplug();
      await run.untilText(/is gone; the music goes on/);
      await pair.plug();
      await run.until((text) => !text.includes('is gone'), 'the cable to be seen again');
      clock = master(pair.far);
      await run.untilText('▶ follows');
      clock.say(0xfc);
      await run.untilText('waits for Start from serial:');
      clock.close();
      run.send('q');
      expect((await run.untilExit()).code).toBe(0);
    } finally {
      await run.close();
      await pair.remove();
    }
  });
});
