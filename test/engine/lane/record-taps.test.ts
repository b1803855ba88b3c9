import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { keepRecord, recordLanes, tapLanes } from '../../../src/engine/lane/record-taps.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { TapRing } from '../../../src/ports/tap-ring.ts';
import { Refusal } from '../../../src/trouble/refusal.ts';
import { heldFromNow } from '../../support/held-by-process.ts';
import { until } from '../../support/pty-pair.ts';
import { bytesOf } from '../../support/stream-log.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const MESSAGES = ['00 90 3C 40 FF', '00 B1 07 64 FF', '00 F0 7D 01 F7 FF', '00 80 3C 40 FF'];
/** Each from the middle of a larger piece, to one port after the other. */
const play = (lanes: readonly { readonly port: MockPort | { write: MockPort['write'] } }[]) => {
  for (const [n, hex] of MESSAGES.entries()) {
    const bytes = bytesOf(hex);
    lanes[n % lanes.length]!.port.write(bytes, 1, bytes.length - 2, Float64Array.of(n * 1000));
  }
};
const ports = () => [{ port: new MockPort() }, { port: new MockPort() }];
const lines = (path: string) => readFileSync(path, 'utf8').split('\n').slice(1);

describe('what ports took is recorded', () => {
  test('by the main thread or by the run’s own, the same log comes of it', async () => {
    const folder = tempFolder('record');
    const [own, kept] = [join(folder, 'own.log'), join(folder, 'kept.log')];
    const recorded = recordLanes(ports(), own);
    play(recorded.lanes);
    recorded.recording.close();
    const held = heldFromNow();
    const record = keepRecord(kept, ['mock', 'mock'], () => {});
    play(tapLanes(ports(), record.ring));
    await until(() => new TapRing(record.ring).hasRoom(400_000), 'that the ring is drained');
    record.close();
    await held.givenBack();
    expect(lines(kept)).toEqual(lines(own));
    expect(
      lines(own)
        .filter((line) => line !== '')
        .map((line) => line.split('\t')[2]),
    ).toEqual(MESSAGES.map((hex) => hex.slice(3, -3)));
  });

  test.each([1, 3])('%i messages for which there was no room are told of at the end', (lost) => {
    const path = join(tempFolder('record'), 'late.log');
    const record = keepRecord(path, ['mock'], () => {});
    const ring = new TapRing(record.ring);
    const note = bytesOf('90 3C 40');
    while (ring.lost < lost) ring.put(0, note, 0, 3, Float64Array.of(0));
    record.close();
    const word = lost === 1 ? 'message' : 'messages';
    expect(lines(path).filter((line) => line.includes('could not be recorded'))).toEqual([
      expect.stringContaining(`${lost} ${word} could not be recorded`),
    ]);
  });

  test('where nothing was lost nothing is said, and a record of nothing is taken away', () => {
    const path = join(tempFolder('record'), 'nothing.log');
    const record = keepRecord(path, ['mock'], () => {});
    record.close();
    expect(existsSync(path)).toBe(false);
  });

  test('a file that is there is refused, and the ports are closed', () => {
    const path = join(tempFolder('record'), 'there.log');
    writeFileSync(path, 'precious');
    let closed = 0;
    const lanes = ports().map(({ port }) => ({
      port: Object.assign(port, {
        close() {
          closed += 1;
        },
      }),
    }));
    expect(() => recordLanes(lanes, path)).toThrow(Refusal);
    expect(closed).toBe(2);
    expect(readFileSync(path, 'utf8')).toBe('precious');
  });
});
