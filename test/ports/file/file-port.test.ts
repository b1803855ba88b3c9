import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { FilePort } from '../../../src/ports/file/file-port.ts';
import { openOutput } from '../../../src/ports/open-output.ts';
import { WRITE_DONE, WRITE_LOST } from '../../../src/ports/output-port.ts';
import { PORT_KINDS } from '../../../src/ports/port-kinds.ts';
import { Refusal } from '../../../src/trouble/refusal.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const folder = tempFolder('file-port');
let files = 0;
const fresh = () => {
  files += 1;
  return join(folder, `${files}.txt`);
};
const bytes = (hex: string) => Uint8Array.from(Buffer.from(hex.replaceAll(' ', ''), 'hex'));
const linesOf = (path: string) => readFileSync(path, 'latin1').split('\n').slice(1, -1);

describe('file port', () => {
  test('one line a message: run time in microseconds, bytes in hex', () => {
    const path = fresh();
    const port = new FilePort(path);
    port.write(bytes('B0 79 00'), 0, 3, Float64Array.of(0));
    port.write(bytes('90 3C 40'), 0, 3, Float64Array.of(500_000.52));
    port.write(bytes('90 3C 40'), 1, 2, Float64Array.of(3_600_000_000));
    port.close();
    expect(linesOf(path)).toEqual(['0 B0 79 00', '500000.5 90 3C 40', '3600000000 3C 40']);
  });

  test('the first line says what the file is and how fast the wire', () => {
    const path = fresh();
    const port = new FilePort(path);
    port.write(bytes('FE'), 0, 1, Float64Array.of(0));
    port.close();
    expect(readFileSync(path, 'latin1')).toMatch(/^# wirepit file port 1; baud 31250; .*\n0 FE\n$/);
  });

  test('a port that was sent nothing leaves no file, and an older one as it was', () => {
    const path = fresh();
    const idle = new FilePort(path);
    expect([idle.name, idle.flush(), idle.revive()]).toEqual([`file:${path}`, true, true]);
    idle.close();
    idle.close();
    expect([idle.flush(), idle.revive()]).toEqual([false, false]);
    expect(idle.write(bytes('FE'), 0, 1, Float64Array.of(0))).toBe(WRITE_LOST);
    expect(existsSync(path)).toBe(false);
    writeFileSync(path, 'an older record\n');
    new FilePort(path).close();
    expect(readFileSync(path, 'latin1')).toBe('an older record\n');
  });

  test('an older, longer file is emptied by the first message', () => {
    const path = fresh();
    writeFileSync(path, 'an older record\n'.repeat(100));
    const port = new FilePort(path);
    port.write(bytes('FE'), 0, 1, Float64Array.of(7));
    port.close();
    expect(linesOf(path)).toEqual(['7 FE']);
  });

  test('what was flushed is in the file although it is still open', () => {
    const path = fresh();
    const port = new FilePort(path);
    port.write(bytes('FE'), 0, 1, Float64Array.of(7));
    expect(linesOf(path)).toEqual([]);
    expect(port.flush()).toBe(true);
    expect(linesOf(path)).toEqual(['7 FE']);
    port.close();
  });

  test('any times and bytes are read back as written, through many buffers', () => {
    const message = fc.tuple(
      fc.double({ min: 0, max: 1e12, noNaN: true }),
      fc.uint8Array({ minLength: 1, maxLength: 64 }),
    );
    fc.assert(
      fc.property(
        fc.array(message, { minLength: 1, maxLength: 300, size: 'max' }),
        fc.integer({ min: 1, max: 6 }),
        (messages, times) => {
          const path = fresh();
          const port = new FilePort(path);
          for (let round = 0; round < times; round += 1) {
            for (const [micros, data] of messages) port.write(data, 0, data.length, Float64Array.of(micros));
          }
          port.close();
          const read = linesOf(path).map((line) => {
            const [time, ...hex] = line.split(' ');
            return [Number(time), hex.join('')];
          });
          const meant = messages.map(([micros, data]) => [
            Math.round(micros * 10) / 10,
            Buffer.from(data).toString('hex').toUpperCase(),
          ]);
          expect(read).toEqual(Array.from({ length: times }, () => meant).flat());
        },
      ),
      { numRuns: 20 },
    );
  });

  test('a time is whole although the buffer is full', () => {
    const path = fresh();
    const port = new FilePort(path);
    const times = Array.from({ length: 20_000 }, (_, n) => 1e15 + n * 10 ** (n % 4));
    for (const time of times) expect(port.write(bytes('FE'), 0, 1, Float64Array.of(time))).toBe(WRITE_DONE);
    port.close();
    expect(linesOf(path)).toEqual(times.map((time) => `${time} FE`));
  });

  test('one message longer than all that it gathers is one line', () => {
    const path = fresh();
    const port = new FilePort(path);
    const long = Uint8Array.from({ length: 60_000 }, (_, at) => at % 251);
    port.write(long, 0, long.length, Float64Array.of(7));
    port.write(bytes('FE'), 0, 1, Float64Array.of(8));
    port.close();
    expect(linesOf(path)).toEqual([
      `7 ${Buffer.from(long).toString('hex').toUpperCase().match(/../g)!.join(' ')}`,
      '8 FE',
    ]);
  });

  test('closed twice it is quiet, and takes nothing more', () => {
    const port = new FilePort(fresh());
    expect(port.write(bytes('FE'), 0, 1, Float64Array.of(0))).toBe(WRITE_DONE);
    port.close();
    port.close();
    expect(port.write(bytes('FE'), 0, 1, Float64Array.of(0))).toBe(WRITE_LOST);
  });

  test.skipIf(!existsSync('/dev/full'))('a full disk is a lost port, not an exception', () => {
    const port = new FilePort('/dev/full');
    const block = new Uint8Array(1000).fill(0x40);
    let outcome: number = WRITE_DONE;
    for (let i = 0; i < 100 && outcome === WRITE_DONE; i += 1)
      outcome = port.write(block, 0, 1000, Float64Array.of(0));
    expect(outcome).toBe(WRITE_LOST);
    expect(port.revive()).toBe(false);
    port.close();
  });
});

describe('opening an output by name', () => {
  test('mock', async () => {
    expect((await openOutput('mock')).name).toBe('mock');
  });

  test.each(['nonsense', 'nonsense:1', 'file', 'file:', 'mock:1', ''])('%j is refused', async (spec) => {
    await expect(openOutput(spec)).rejects.toBeInstanceOf(Refusal);
  });

  test('what there is to send to is named, and nothing else', async () => {
    const known = PORT_KINDS.filter(({ output }) => output !== undefined).map(({ usage }) => usage);
    expect(known).not.toContain('stdin');
    await expect(openOutput('nonsense')).rejects.toMatchObject({
      message: `port nonsense: there is no such port; use ${known.join(', ')}`,
    });
  });

  test('the file port without a path says what it wants', async () => {
    await expect(openOutput('file:')).rejects.toThrow('file:: the file port needs a path; write file:<path>');
  });

  test('a file that cannot be made is refused with its path and a next step', async () => {
    await expect(openOutput(`file:${folder}/none/x.txt`)).rejects.toThrow(
      /none\/x\.txt: cannot be written \(ENOENT\); choose/,
    );
  });
});
