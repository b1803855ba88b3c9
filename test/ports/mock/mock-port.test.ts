import { describe, expect, test } from 'vitest';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { WRITE_DONE, WRITE_FULL } from '../../../src/ports/output-port.ts';

const bytes = (hex: string) => Uint8Array.from(Buffer.from(hex.replaceAll(' ', ''), 'hex'));
const at = (micros: number) => Float64Array.of(micros);

describe('mock port: a wire of 320 µs a byte (MIDI 1.0, p. 1: 31,250 baud, ten bits)', () => {
  test('bytes of a message follow one another', () => {
    const port = new MockPort({ record: true });
    port.write(bytes('90 3C 40'), 0, 3, at(1000));
    expect(port.recorded()).toEqual({
      bytes: bytes('90 3C 40'),
      micros: Float64Array.of(1000, 1320, 1640),
    });
  });

  test('a second message waits for the first, however early it is handed over', () => {
    const port = new MockPort({ record: true });
    port.write(bytes('90 3C 40'), 0, 3, at(0));
    port.write(bytes('3E 40'), 0, 2, at(10));
    expect([...port.recorded().micros]).toEqual([0, 320, 640, 960, 1280]);
  });

  test('it takes only the part of the bytes it is told to', () => {
    const port = new MockPort({ record: true });
    port.write(bytes('90 3C 40'), 1, 2, at(0));
    expect(port.recorded().bytes).toEqual(bytes('3C 40'));
  });

  test('without recording only the latest bytes are kept, in order', () => {
    const port = new MockPort();
    const one = new Uint8Array(1);
    for (let i = 0; i < 10_000; i += 1) {
      one[0] = i & 0x7f;
      port.write(one, 0, 1, at(0));
    }
    const kept = port.recorded();
    expect(port.bytesTaken).toBe(10_000);
    expect(kept.bytes.length).toBe(4096);
    expect(kept.bytes.at(-1)).toBe(9999 & 0x7f);
    expect(kept.micros[0]).toBe((10_000 - 4096) * 320);
    expect(kept.micros.at(-1)).toBe(9999 * 320);
  });

  test('a driver of six bytes is full after two messages, and takes more as the wire empties it', () => {
    const port = new MockPort({ record: true, capacityBytes: 6 });
    const note = bytes('90 3C 40');
    expect(port.write(note, 0, 3, at(0))).toBe(WRITE_DONE);
    expect(port.write(note, 0, 3, at(0))).toBe(WRITE_DONE);
    expect(port.write(note, 0, 3, at(0))).toBe(WRITE_FULL);
    expect(port.recorded().bytes.length).toBe(6);
    expect(port.write(note, 0, 3, at(960))).toBe(WRITE_DONE);
  });
});
