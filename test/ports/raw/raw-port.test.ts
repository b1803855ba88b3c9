import { spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { openInput } from '../../../src/ports/open-input.ts';
import { openOutput } from '../../../src/ports/open-output.ts';
import { WRITE_DONE, WRITE_FULL, WRITE_LOST } from '../../../src/ports/output-port.ts';
import { openRawPort, rawReason } from '../../../src/ports/raw/raw-port.ts';
import { Refusal } from '../../../src/trouble/refusal.ts';
import { farEnd } from '../../support/far-end.ts';
import { heldFromNow } from '../../support/held-by-process.ts';
import { bytesOf, readStream } from '../../support/stream-log.ts';
import { tempFolder } from '../../support/temp-folder.ts';

let folder: string;
let fifo: string;
beforeEach(() => {
  folder = tempFolder('raw-port');
  fifo = join(folder, 'wire');
  spawnSync('mkfifo', [fifo]);
});

const noteOn = bytesOf('90 3C 40');
const at = (micros: number) => Float64Array.of(micros, 0);

describe('a device that takes nothing', () => {
  it('says full, tears no message, and has lost none once it reads again', async () => {
    const reader = farEnd(fifo);
    const port = openRawPort(fifo, false);
    // Longer than PIPE_BUF (4,096), so that the pipe takes a part of it (pipe(7)).
    const long = new Uint8Array(5000).fill(0x11);
    long[0] = 0xf0;
    long[4999] = 0xf7;
    let taken = 0;
    while (port.write(long, 0, 5000, at(0)) === WRITE_DONE) taken += 1;
    expect(taken).toBeGreaterThan(10); // a pipe holds 64 KiB on Linux (pipe(7))
    expect(port.write(noteOn, 0, 3, at(0))).toBe(WRITE_FULL);
    expect(port.flush()).toBe(false);
    await reader.received(1); // and all else that is there
    expect(port.flush()).toBe(true);
    expect(port.write(noteOn, 0, 3, at(0))).toBe(WRITE_DONE);
    const log = readStream([await reader.received(taken * 5000 + 3)]);
    expect(log.faults).toEqual([]);
    expect(log.messages).toHaveLength(taken + 1);
    expect(log.messages.at(-1)).toBe('90 3C 40');
    port.close();
    reader.close();
  });

  it('counts as gone after two seconds of run time, so that nothing stale is played later', () => {
    const reader = farEnd(fifo);
    const port = openRawPort(fifo, false);
    const block = new Uint8Array(4096);
    while (port.write(block, 0, 4096, at(0)) === WRITE_DONE);
    expect(port.write(noteOn, 0, 3, at(1_900_000))).toBe(WRITE_FULL);
    expect(port.write(noteOn, 0, 3, at(2_100_000))).toBe(WRITE_LOST);
    expect(port.revive()).toBe(true);
    port.close();
    reader.close();
  });
});

describe('a reader that goes and comes back', () => {
  it('is lost at the next write, stays lost, and is found again', async () => {
    const first = farEnd(fifo);
    const port = openRawPort(fifo, false);
    expect(port.write(noteOn, 0, 3, at(0))).toBe(WRITE_DONE);
    first.close();
    expect(port.write(noteOn, 0, 3, at(0))).toBe(WRITE_LOST);
    expect(port.revive()).toBe(false);
    expect(port.write(noteOn, 0, 3, at(0))).toBe(WRITE_LOST);
    const second = farEnd(fifo);
    expect(port.revive()).toBe(true);
    expect(port.write(noteOn, 0, 3, at(0))).toBe(WRITE_DONE);
    expect(await second.received(3)).toEqual(noteOn);
    port.close();
    second.close();
  });

  it('may be absent at the start when waiting was asked for', async () => {
    const port = await openOutput(`raw:${fifo}`, { waitForDevice: true });
    expect(port.write(noteOn, 0, 3, at(0))).toBe(WRITE_LOST);
    const reader = farEnd(fifo);
    expect(port.revive?.()).toBe(true);
    expect(port.write(noteOn, 0, 3, at(0))).toBe(WRITE_DONE);
    port.close();
    reader.close();
  });
});

describe('what cannot be a raw port is refused with a next step', () => {
  it('a FIFO without a reader', async () => {
    await expect(openOutput(`raw:${fifo}`)).rejects.toThrow(
      /nobody reads this FIFO yet; start its reader first/,
    );
  });
  it('no such device', async () => {
    await expect(openOutput(`raw:${folder}/none`)).rejects.toThrow(
      /there is no such device; .wirepit ports. lists/,
    );
  });
  it('an ordinary file, which stays as it was', async () => {
    writeFileSync(join(folder, 'letter'), 'precious');
    await expect(openOutput(`raw:${folder}/letter`, { waitForDevice: true })).rejects.toThrow(
      /for a file use file:<path>/,
    );
    expect(readFileSync(join(folder, 'letter'), 'utf8')).toBe('precious');
  });
  it('a directory', async () => {
    await expect(openOutput(`raw:${folder}`)).rejects.toThrow(/a directory/);
  });
});

describe('what an error of the system means', () => {
  it.each([
    ['ENOENT', 'there is no such device', true],
    ['EBUSY', 'another program has it open', true],
    ['EACCES', 'no permission', false],
    ['EPERM', 'no permission', false],
    ['ORDINARY', 'an ordinary file', false],
    ['EISDIR', 'a directory', false],
    ['EIO', 'the system says EIO', true],
  ])('%s', (code, what, mayCome) => {
    expect(rawReason(fifo, { code })).toMatchObject({ what, mayCome });
  });

  it('ENXIO: of a FIFO, that nobody reads it; of anything else, that no driver answers', () => {
    expect(rawReason(fifo, { code: 'ENXIO' })).toMatchObject({
      what: 'nobody reads this FIFO yet',
      mayCome: true,
    });
    for (const path of ['/dev/null', `${folder}/nowhere`]) {
      const what = 'no driver answers behind this device node';
      expect(rawReason(path, { code: 'ENXIO' })).toMatchObject({ what, mayCome: true });
    }
  });
});

describe('what is refused leaves nothing open', () => {
  const HOW = { clock: { nowMicros: () => 0 }, waitForDevice: false, pace: 'at-once' } as const;

  it.each(['letter', 'fifo', 'nowhere', '.'])('%s, to write to and to listen to', async (name) => {
    writeFileSync(join(folder, 'letter'), 'precious');
    spawnSync('mkfifo', [join(folder, 'fifo')]);
    const held = heldFromNow();
    await expect(openOutput(`raw:${folder}/${name}`)).rejects.toThrow(Refusal);
    if (name !== 'fifo') await expect(openInput(`raw:${folder}/${name}`, HOW)).rejects.toThrow(Refusal);
    await held.givenBack();
  });

  it('an input that may wait does so for what may come, and for nothing else', async () => {
    writeFileSync(join(folder, 'letter'), 'precious');
    const waiting = await openInput(`raw:${folder}/nowhere`, { ...HOW, waitForDevice: true });
    await waiting.close();
    await expect(openInput(`raw:${folder}`, HOW)).rejects.toThrow(/a directory/);
    await expect(openInput(`raw:${folder}/letter`, HOW)).rejects.toThrow(/an ordinary file/);
    for (const name of ['letter', '.']) {
      const opening = openInput(`raw:${folder}/${name}`, { ...HOW, waitForDevice: true });
      await expect(opening).rejects.toThrow(Refusal);
    }
  });
});
