import { spawnSync } from 'node:child_process';
import { constants, openSync, readSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, it, onTestFinished } from 'vitest';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { WRITE_DONE, WRITE_FULL, WRITE_LOST } from '../../../src/ports/output-port.ts';
import { DescriptorPort, type DeviceOpener } from '../../../src/ports/raw/descriptor-port.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const S = 1_000_000;
const MESSAGE = Uint8Array.of(0, 0x90, 60, 64, 0);

/** A pipe that takes what it has room for (64 kB on Linux), and an opener that writes down what it is told. */
function rig() {
  const path = join(tempFolder('descriptor'), 'pipe');
  spawnSync('mkfifo', [path]);
  const far = openSync(path, constants.O_RDWR | constants.O_NONBLOCK);
  const told: string[] = [];
  const state = { present: true, absent: false };
  const opener: DeviceOpener = {
    open: () => {
      told.push('open');
      return state.absent ? undefined : openSync(path, constants.O_RDWR | constants.O_NONBLOCK);
    },
    present: () => state.present,
    failed: () => {
      told.push('failed');
    },
    close: () => {
      told.push('close');
    },
  };
  const port = new DescriptorPort('raw:pipe', MIDI_WIRE, opener);
  onTestFinished(() => port.close());
  const read = (bytes: number): Buffer => {
    const into = Buffer.alloc(bytes);
    return into.subarray(0, readSync(far, into, 0, bytes, null));
  };
  const write = (micros: number) => port.write(MESSAGE, 1, 3, Float64Array.of(micros));
  /** Fills the pipe with whole messages until it says full; how many bytes it has taken. */
  const fill = (micros: number): number => {
    let messages = 0;
    while (write(micros) === WRITE_DONE) messages += 1;
    return messages * 3;
  };
  return { port, told, state, read, write, fill, opener };
}

describe('a device that takes what it has room for', () => {
  let device: ReturnType<typeof rig>;
  beforeEach(() => {
    device = rig();
  });

  it('gets exactly the bytes asked for', () => {
    expect(device.write(0)).toBe(WRITE_DONE);
    expect([...device.read(10)]).toEqual([0x90, 60, 64]);
    expect(device.port.flush()).toBe(true);
  });

  it('keeps the rest of a message that went in half, and says full until it has left', () => {
    // What is longer than a page may go into a pipe in part (POSIX, write): 65,536 is 13 times 5,000 and 536.
    const long = Uint8Array.from({ length: 5000 }, (_, i) => i % 127);
    const write = (micros: number) => device.port.write(long, 0, long.length, Float64Array.of(micros));
    let messages = 0;
    while (write(messages) === WRITE_DONE) messages += 1;
    expect(device.port.flush()).toBe(false);
    expect(write(99)).toBe(WRITE_FULL);
    const first = device.read(65_536);
    expect(first.length).toBeLessThan(messages * 5000); // so the last one did go in in part
    expect(device.port.flush()).toBe(true);
    expect(write(100)).toBe(WRITE_DONE);
    const all = Buffer.concat([first, device.read(65_536)]);
    expect(all).toHaveLength((messages + 1) * 5000);
    for (let at = 0; at < all.length; at += 5000) expect([...all.subarray(at, at + 5000)]).toEqual([...long]);
    expect(device.told).toEqual(['open']);
  });

  it('is given up after two seconds of run time, not before', () => {
    device.fill(10 * S);
    expect(device.write(12 * S - 1)).toBe(WRITE_FULL);
    expect(device.told).toEqual(['open']);
    expect(device.write(12 * S)).toBe(WRITE_LOST);
    expect(device.told).toEqual(['open', 'failed']);
    expect(device.write(12 * S)).toBe(WRITE_LOST);
    expect(device.port.revive()).toBe(true);
    expect(device.told).toEqual(['open', 'failed', 'open']);
  });

  it('that is full from the first message on has its two seconds as well', () => {
    device.fill(0);
    const late = new DescriptorPort('raw:late', MIDI_WIRE, device.opener);
    const write = (micros: number) => late.write(MESSAGE, 1, 3, Float64Array.of(micros));
    expect([write(10 * S), write(11.9 * S), write(12 * S)]).toEqual([WRITE_FULL, WRITE_FULL, WRITE_LOST]);
    late.close();
  });

  it('the two seconds begin with the first refusal, at run time 0 too, and anew once it took something', () => {
    device.fill(0);
    expect(device.write(1.9 * S)).toBe(WRITE_FULL);
    device.read(65_536);
    expect(device.write(1.95 * S)).toBe(WRITE_DONE);
    device.fill(3 * S);
    expect(device.write(4.9 * S)).toBe(WRITE_FULL);
    expect(device.write(5 * S)).toBe(WRITE_LOST);
  });

  it('what waited is dropped with the device: nothing stale is played later', () => {
    device.fill(0);
    device.state.present = false;
    expect(device.write(1)).toBe(WRITE_LOST);
    device.state.present = true;
    device.read(65_536);
    expect(device.port.revive()).toBe(true);
    expect(device.port.flush()).toBe(true);
    expect(device.write(2)).toBe(WRITE_DONE);
    expect([...device.read(10)]).toEqual([0x90, 60, 64]);
  });
});

describe('closing and opening', () => {
  it('closes behind the rest of a message that went in in half, where there is room by then', () => {
    const { port, read } = rig();
    const long = Uint8Array.from({ length: 5000 }, (_, i) => i % 127);
    let messages = 0;
    while (port.write(long, 0, long.length, Float64Array.of(0)) === WRITE_DONE) messages += 1;
    const first = read(65_536);
    port.close();
    expect(first.length + read(65_536).length).toBe(messages * 5000);
  });

  it('closes once, and neither writes nor opens afterwards', () => {
    const { port, told, write } = rig();
    port.close();
    port.close();
    expect(told).toEqual(['open', 'close']);
    expect(write(0)).toBe(WRITE_LOST);
    expect(port.revive()).toBe(false);
    expect(told).toEqual(['open', 'close']);
  });

  it('a device that is there is not opened twice; one that is not stays lost', () => {
    const { port, told, state } = rig();
    expect(port.revive()).toBe(true);
    expect(told).toEqual(['open']);
    state.present = false;
    expect(port.write(MESSAGE, 1, 3, Float64Array.of(0))).toBe(WRITE_LOST);
    state.absent = true;
    expect(port.revive()).toBe(false);
    state.absent = false;
    expect(port.revive()).toBe(true);
  });
});

it('a device that comes back has as long again before it counts as gone', () => {
  const { port, write, fill } = rig();
  fill(0);
  expect([write(0), write(2 * S)]).toEqual([WRITE_FULL, WRITE_LOST]);
  expect(port.revive()).toBe(true);
  expect([write(9 * S), write(11 * S)]).toEqual([WRITE_FULL, WRITE_LOST]);
});
