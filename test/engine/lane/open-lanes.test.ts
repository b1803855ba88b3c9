import { existsSync, readdirSync, readFileSync, readlinkSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { openLanes } from '../../../src/engine/lane/open-lanes.ts';
import { keepRecord, recordLanes, tapLanes } from '../../../src/engine/lane/record-taps.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const isLinux = process.platform === 'linux';

/** Descriptors of this process on files in `folder` (Linux: proc(5)). */
const openIn = (folder: string): string[] =>
  readdirSync('/proc/self/fd').flatMap((fd) => {
    try {
      const path = readlinkSync(join('/proc/self/fd', fd));
      return path.startsWith(folder) ? [path] : [];
    } catch {
      return []; // it was closed meanwhile
    }
  });

describe('opening every output, or none', () => {
  test.skipIf(!isLinux)('one is refused: those before it are closed', async () => {
    const folder = tempFolder('open-lanes');
    const sent = join(folder, 'sent.txt');
    const outputs = [{ port: `file:${sent}` }, { port: `file:${join(folder, 'nowhere', 'sent.txt')}` }];
    await expect(openLanes(outputs)).rejects.toThrow(/nowhere/);
    // A file port that was sent nothing leaves nothing behind, once it is closed.
    expect(existsSync(sent)).toBe(false);
    expect(openIn(folder)).toEqual([]);
  });

  test('a device that is not there is waited for only where that is wished', async () => {
    const outputs = [{ port: `raw:${join(tempFolder('open-lanes'), 'nowhere')}` }];
    await expect(openLanes(outputs)).rejects.toThrow(/there is no such device/);
    const [lane] = await openLanes(outputs, true);
    expect(lane!.port.gone?.()).toBe(true);
    lane!.port.close();
  });

  test.skipIf(!isLinux)('a record that cannot be made closes the ports', () => {
    const folder = tempFolder('open-lanes');
    const port = new MockPort({ record: true });
    let closed = 0;
    const watched = Object.assign(Object.create(port) as MockPort, {
      close: () => {
        closed += 1;
      },
    });
    expect(() => recordLanes([{ port: watched }], join(folder, 'nowhere', 'take.mid'))).toThrow(/nowhere/);
    expect(closed).toBe(1);
  });
});

describe('recording through shared memory', () => {
  test('what was put in before the end is in the record, byte for byte', () => {
    const path = join(tempFolder('record-taps'), 'take.log');
    const kept = keepRecord(path, ['mock'], (trouble) => expect.fail(trouble));
    const port = new MockPort({ record: true });
    const [lane] = tapLanes([{ port }], kept.ring);
    const span = Float64Array.of(0, 960, 0);
    lane!.port.write(Uint8Array.of(9, 0x90, 60, 64, 9), 1, 3, span);
    lane!.port.write(Uint8Array.of(0x80, 60, 64), 0, 3, Float64Array.of(1000, 1960, 0));
    kept.close();
    const text = readFileSync(path, 'utf8');
    expect(text).toMatch(/90 3c 40[\s\S]*80 3c 40/i);
    expect(text).not.toMatch(/could not be recorded/);
    expect([...port.recorded().bytes]).toEqual([0x90, 60, 64, 0x80, 60, 64]);
  });

  test('what did not fit is counted in the record', () => {
    const path = join(tempFolder('record-taps'), 'take.log');
    const kept = keepRecord(path, ['mock'], () => {});
    const [lane] = tapLanes([{ port: new MockPort() }], kept.ring);
    const span = Float64Array.of(0, 960, 0);
    // The ring holds a megabyte, and nothing takes anything out while this test does not come to rest.
    for (let n = 0; n < 40_000; n += 1) lane!.port.write(Uint8Array.of(0x90, 60, 64), 0, 3, span);
    kept.close();
    const lost = /(\d+) messages could not be recorded/.exec(readFileSync(path, 'utf8'));
    expect(Number(lost?.[1])).toBe(40_000 - 2 ** 20 / 32);
  });
});
