import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { farEnd } from '../support/far-end.ts';
import { hasSocat, PtyPair, until } from '../support/pty-pair.ts';
import { ROOT, WIREPIT } from '../support/run-wirepit.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { WirePipe } from '../support/wire-pipe.ts';
import { WireReader } from '../support/wire-reader.ts';

function loop(...args: string[]): ChildProcess {
  return spawn(process.execPath, [WIREPIT, 'loop', ...args], { cwd: ROOT, stdio: 'ignore' });
}

const isInNote = (reader: WireReader) => reader.sounding > 0 && reader.noteOns.length > 60;

/** Channels that were told All Notes Off or All Sound Off after their last note-on. */
function silenced(reader: WireReader): Set<number> {
  const channels = new Set<number>();
  for (const [status = 0, data1 = 0] of reader.messages) {
    if ((status & 0xf0) === 0x90) channels.delete(status & 15);
    if ((status & 0xf0) === 0xb0 && (data1 === 120 || data1 === 123)) channels.add(status & 15);
  }
  return channels;
}

describe('however the loop ends, nothing sounds', () => {
  test.each(['SIGTERM', 'SIGINT', 'SIGHUP'] as const)('killed in a note by %s', async (signal) => {
    const pipe = new WirePipe(join(tempFolder('loop'), 'wire'));
    const child = loop('--send', '--port', `raw:${pipe.path}`);
    const exit = once(child, 'exit');
    try {
      await pipe.until(isInNote, 'in a note');
      child.kill(signal);
      const [code] = await exit;
      expect(code).toBeGreaterThan(128);
      await until(() => pipe.reader.sounding === 0, 'silence');
      expect(pipe.reader.unrestful).toEqual([]);
      expect(silenced(pipe.reader).size).toBe(16);
      expect(pipe.reader.noteOns.length).toBeLessThan(400);
    } finally {
      pipe.close();
    }
  });

  test('killed in a SysEx: it is ended first', async () => {
    const pipe = new WirePipe(join(tempFolder('loop'), 'wire'));
    const child = loop('--send', '--port', `raw:${pipe.path}`);
    const exit = once(child, 'exit');
    let bytes: number[] = [];
    try {
      await pipe.until(() => true, 'anything');
      await new Promise<void>((resolve) => {
        const look = async () => {
          for (;;) {
            bytes = bytes.concat([...(await pipe.next())]);
            const open = bytes.lastIndexOf(0xf0);
            if (bytes.length > 2000 && bytes.length - open > 300 && !bytes.includes(0xf7, open)) return;
          }
        };
        void look().then(resolve);
      });
      child.kill('SIGTERM');
      await exit;
      await until(() => silenced(pipe.reader).size === 16, 'silence');
      expect(pipe.reader.faults.filter((fault) => /SysEx/.test(fault))).toEqual([]);
    } finally {
      pipe.close();
    }
  });

  test.skipIf(!hasSocat)('unplugged in a note, and plugged in again: silence comes first', async () => {
    const pair = await PtyPair.plugged();
    const first = farEnd(pair.far);
    const child = loop('--send', '--port', `serial:${pair.near}`);
    const exit = once(child, 'exit');
    try {
      const reader = new WireReader();
      reader.read(await first.received(1000));
      await pair.unplug();
      first.close();
      await pair.plug();
      const second = farEnd(pair.far);
      const [code] = await exit;
      expect(code).toBe(1);
      const after = new WireReader();
      after.read(await second.received(16));
      second.close();
      expect(after.noteOns).toEqual([]);
      expect(silenced(after).size).toBeGreaterThan(0);
    } finally {
      child.kill('SIGKILL');
      await pair.remove();
    }
  });
});
