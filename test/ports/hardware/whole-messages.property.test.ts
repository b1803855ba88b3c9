import fc from 'fast-check';
import { expect, test } from 'vitest';
import { DeviceLink } from '../../../src/ports/device-link.ts';
import { HardwarePort } from '../../../src/ports/hardware/hardware-port.ts';
import { WRITE_DONE, WRITE_LOST } from '../../../src/ports/output-port.ts';
import { FakeBinding } from '../fake-binding.ts';

const AT = new Float64Array(2);
const NAME = 'Fake Keys 24:0';

/** Messages as MIDI 1.0 writes them: channel messages of two and three bytes, real-time, SysEx. */
const short = fc.oneof(
  fc.tuple(fc.integer({ min: 0x80, max: 0xbf }), fc.nat(127), fc.nat(127)),
  fc.tuple(fc.integer({ min: 0xc0, max: 0xdf }), fc.nat(127)),
);
const realTime = fc.constantFrom([0xf8], [0xfa], [0xfc], [0xfe]);
const sysEx = fc.record({
  /** Data bytes of each piece: more than the first buffer holds, now and then. */
  pieces: fc.array(fc.oneof(fc.nat(40), fc.nat(1500)), { minLength: 1, maxLength: 5 }),
  between: fc.option(realTime),
  isEnded: fc.boolean(),
});
const step = fc.oneof(
  short.map((bytes) => ({ bytes: [...bytes] })),
  realTime.map((bytes) => ({ bytes })),
  sysEx,
);

type Step =
  | { readonly bytes: readonly number[] }
  | {
      readonly pieces: readonly number[];
      readonly between: readonly number[] | null;
      readonly isEnded: boolean;
    };

/** What is written, and the whole messages that the library is to get. */
function run(steps: readonly Step[]) {
  const writes: (readonly number[])[] = [];
  const meant: (readonly number[])[] = [];
  let open: number[] | undefined;
  const end = (): void => {
    if (open !== undefined) meant.push([...open, 0xf7]);
    open = undefined;
  };
  for (const one of steps) {
    if ('bytes' in one) {
      writes.push(one.bytes);
      if (one.bytes[0]! < 0xf8) end();
      meant.push(one.bytes);
      continue;
    }
    end();
    open = [];
    for (const [n, count] of one.pieces.entries()) {
      const piece = [...(n === 0 ? [0xf0] : []), ...Array.from({ length: count }, (_, at) => (at + n) % 128)];
      if (piece.length > 0) writes.push(piece);
      open.push(...piece);
      if (one.between !== null) {
        writes.push(one.between);
        meant.push(one.between);
      }
    }
    if (!one.isEnded) continue;
    writes.push([0xf7]);
    end();
  }
  return { writes, meant };
}

test('the library gets whole messages, whatever pieces come: real-time at once, an open SysEx closed by the next status', () => {
  fc.assert(
    fc.property(fc.array(step, { maxLength: 12, size: 'max' }), (steps: readonly Step[]) => {
      const binding = new FakeBinding();
      const port = new HardwarePort('interface:1', binding, { kind: 'named', name: 'Fake Keys' });
      const { writes, meant } = run(steps);
      for (const bytes of writes) {
        // From the middle of a larger buffer, which is another's right afterwards.
        const buffer = Uint8Array.of(0x55, ...bytes, 0x55);
        expect(port.write(buffer, 1, bytes.length, AT)).toBe(WRITE_DONE);
        buffer.fill(0x66);
      }
      const hex = (all: Iterable<Iterable<number>>) =>
        Array.from(all, (one) => Buffer.from([...one]).toString('hex'));
      expect(hex(binding.sent.get(NAME) ?? [])).toEqual(hex(meant));
      port.close();
      expect(binding.open).toBe(0);
    }),
    { numRuns: 150 },
  );
});

test('half a SysEx goes with the device: what comes after its return begins with itself', () => {
  const binding = new FakeBinding();
  const link = new DeviceLink();
  link.opened();
  const port = new HardwarePort('interface:1', binding, { kind: 'named', name: 'Fake Keys' }, link);
  const write = (...bytes: number[]) => port.write(Uint8Array.from(bytes), 0, bytes.length, AT);
  expect(write(0xf0, 1, 2)).toBe(WRITE_DONE);
  link.lost();
  expect(port.gone()).toBe(true);
  expect(binding.open).toBe(0);
  expect(write(3)).toBe(WRITE_LOST);
  link.opened();
  expect(port.revive()).toBe(true);
  expect(port.gone()).toBe(false);
  expect(write(0x90, 60, 64)).toBe(WRITE_DONE);
  expect(binding.sent.get(NAME)).toEqual([Uint8Array.of(0x90, 60, 64)]);
  // A write that fails is told to the watcher, and only of this opening.
  expect(link.reportedGone).toBe(false);
  binding.failSend = true;
  expect(write(0x80, 60, 64)).toBe(WRITE_LOST);
  expect(link.reportedGone).toBe(true);
  link.opened();
  expect(link.reportedGone).toBe(false);
  port.close();
  expect(port.gone()).toBe(false);
  expect(port.revive()).toBe(false);
  expect(binding.open).toBe(0);
});

test('a library that cannot open throws at first, and is "not yet" when a lost port is looked for', () => {
  const binding = new FakeBinding();
  const port = new HardwarePort('interface:1', binding, { kind: 'named', name: 'Fake Keys' });
  binding.failSend = true;
  expect(port.write(Uint8Array.of(0xf8), 0, 1, AT)).toBe(WRITE_LOST);
  binding.failInit = true;
  expect(port.revive()).toBe(false);
  expect(() => new HardwarePort('virtual:Desk', binding, { kind: 'virtual', name: 'Desk' })).toThrow(
    'initialise',
  );
  expect(binding.open).toBe(0);
});

test('a port that is not there leaves no client open', () => {
  const binding = new FakeBinding([]);
  const port = new HardwarePort('interface:1', binding, { kind: 'named', name: 'Fake Keys' });
  expect(port.gone()).toBe(true);
  expect(binding.open).toBe(0);
  binding.names = [NAME];
  expect(port.revive()).toBe(true);
  expect(binding.open).toBe(1);
  port.close();
  expect(binding.open).toBe(0);
});
