import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { WRITE_FULL, WRITE_LOST } from '../../../src/ports/output-port.ts';
import { bytesOf, hexOf, readStream } from '../../support/stream-log.ts';
import { outletRig } from '../fixtures/outlet-rig.ts';

const DEVICE = { ...MIDI_WIRE, runningStatus: 'device' } as const; // each message whole

type Rig = ReturnType<typeof outletRig>;
interface Step {
  readonly gap: number;
  readonly act: (rig: Rig, at: number) => void;
}

const send =
  (status: number, data1 = 0, data2 = 0) =>
  (rig: Rig, at: number) =>
    rig.send(at, status, data1, data2);
const sysEx = (lengths: readonly number[], isWhole: boolean) => (rig: Rig, at: number) => {
  for (const [part, length] of lengths.entries()) {
    const isLast = part === lengths.length - 1;
    const bytes = Array.from({ length }, (_, n) => (n + part) & 0x7f);
    rig.payload(at, part === 0 ? 0xf0 : 0xf7, isLast && isWhole ? [...bytes, 0xf7] : bytes);
  }
};
const note = fc
  .tuple(fc.constantFrom(0x90, 0x80, 0x9f, 0xb3, 0xc2), fc.nat(127), fc.nat(127))
  .map((words) => send(...words));
const system = fc.constantFrom(send(0xf8), send(0xfa), send(0xf6), send(0xf2, 10, 3), send(0xf3, 5));
const payload = fc
  .tuple(fc.array(fc.integer({ min: 1, max: 90 }), { minLength: 1, maxLength: 3 }), fc.boolean())
  .map((shape) => sysEx(...shape));
const song = fc.oneof({ weight: 6, arbitrary: note }, { weight: 2, arbitrary: system }, payload);
const steps = (act: fc.Arbitrary<Step['act']>, longestGap: number) =>
  fc.array(fc.record({ gap: fc.nat(longestGap), act }), { maxLength: 80, size: 'max' });

/** What came out, once all of it has; `apart` gives each step ten seconds of its own. */
function played(all: readonly Step[], port: MockPort, takesVisitor = false, apart = false): Rig {
  const rig = outletRig([{ port }], { takesVisitor });
  let time = 0;
  for (const { gap, act } of all) {
    time += apart ? 10_000_000 : gap;
    rig.pass(time);
    act(rig, time);
  }
  rig.pass(time + 60_000_000);
  return rig;
}

/** Nothing is left over of what was: the wire is free when the last byte has ended, and a clock overtakes what waits. */
function expectAsNew(rig: Rig, port: MockPort): void {
  expect(rig.outlet.drained()).toBe(true);
  const next = Float64Array.of(Number.POSITIVE_INFINITY);
  rig.outlet.nextPump(next);
  expect(next[0]).toBe(Number.POSITIVE_INFINITY);
  const free = new Float64Array(1);
  rig.outlet.wireFree(free);
  expect(free[0]).toBeCloseTo(port.bytesTaken === 0 ? 0 : port.recorded().micros.at(-1)! + 320, 3);
  const now = rig.clock.nowMicros();
  for (let key = 0; key < 40; key += 1) rig.send(now, 0xa5, key, 1);
  const before = port.bytesTaken;
  rig.send(now, 0xf8);
  expect([...port.recorded().bytes.slice(before)]).toEqual([0xf8]);
}

const messagesOf = (port: MockPort) => readStream([port.recorded().bytes], false).messages;
const isRealTime = (message: string) => /^F[89A-F]/.test(message);

describe('a slow wire', () => {
  test('changes the order of nothing but real-time bytes, and of those not among other system messages', () => {
    fc.assert(
      fc.property(steps(song, 12_000), fc.integer({ min: 3, max: 90 }), (all, capacityBytes) => {
        const slow = new MockPort({ record: true, wire: DEVICE, capacityBytes });
        const wide = new MockPort({ record: true, wire: DEVICE });
        const rig = played(all, slow);
        played(all, wide, false, true);
        const [got, meant] = [messagesOf(slow), messagesOf(wide)];
        expect(got.filter((one) => !isRealTime(one))).toEqual(meant.filter((one) => !isRealTime(one)));
        // One that is never ended ends with whatever comes next, which a real-time byte may overtake.
        const inOrder = (one: string) => one.startsWith('F') && !one.endsWith('!');
        expect(got.filter(inOrder)).toEqual(meant.filter(inOrder));
        expectAsNew(rig, slow);
      }),
    );
  });

  test('what is taken back leaves no trace of what it would have cost', () => {
    const takenBack: Step['act'][] = [
      ({ outlet }) => outlet.withdraw(0xffff, new Uint16Array(2048)),
      ({ outlet }) => outlet.withdraw(1, new Uint16Array(2048)),
      ({ outlet }) => outlet.dropOthers(),
    ];
    fc.assert(
      fc.property(
        steps(fc.oneof({ weight: 9, arbitrary: song }, fc.constantFrom(...takenBack)), 3000),
        (all) => {
          const port = new MockPort({ record: true, wire: DEVICE });
          expectAsNew(played(all, port), port);
        },
      ),
    );
  });
});

test('a whole SysEx leaves nothing open that could be gone on with', () => {
  const port = new MockPort({ record: true, wire: DEVICE });
  const { payload: puts, pass } = outletRig([{ port }]);
  puts(0, 0xf0, [0x7d, 1, 0xf7]);
  puts(0, 0xf7, [2, 0xf7]);
  pass(1_000_000);
  expect(hexOf(port.recorded().bytes)).toBe('F0 7D 01 F7');
});

test('a port that was gone begins as a new one, whatever waited or was open when it went', () => {
  const visit = (rig: Rig, at: number) => rig.visit(at, 0x9e, 60, 70);
  const pulls = fc.constantFrom('pull', 'plug');
  fc.assert(
    fc.property(
      fc.array(
        fc.record({
          gap: fc.nat(9000),
          act: fc.oneof({ weight: 9, arbitrary: song }, fc.constant(visit), pulls),
        }),
        {
          maxLength: 80,
          size: 'max',
        },
      ),
      (all) => {
        let isIn = true;
        const port = Object.assign(new MockPort({ record: true, wire: DEVICE }), { revive: () => isIn });
        const write = port.write.bind(port);
        port.write = (...bytes) => (isIn ? write(...bytes) : WRITE_LOST);
        const rig = outletRig([{ port }], { takesVisitor: true });
        let time = 0;
        for (const { gap, act } of [...all, { gap: 0, act: 'plug' } as const]) {
          time += gap;
          rig.pass(time);
          if (typeof act === 'function') act(rig, time);
          else {
            isIn = act === 'plug';
            if (isIn) rig.outlet.revive();
          }
        }
        // Strikes of both, of which only one lets go: a receiver that is gone is owed nothing.
        rig.pass(time + 60_000_000);
        expectAsNew(rig, port);
      },
    ),
  );
});

test('of a port that was gone nobody holds a key, and no SysEx is open', () => {
  let isIn = true;
  const port = Object.assign(new MockPort({ record: true, wire: DEVICE }), { revive: () => isIn });
  const write = port.write.bind(port);
  port.write = (...bytes) => (isIn ? write(...bytes) : WRITE_LOST);
  const {
    send: sends,
    visit: plays,
    payload: puts,
    outlet,
    pass,
  } = outletRig([{ port }], { takesVisitor: true });
  sends(0, 0x90, 60, 70);
  plays(0, 0x90, 60, 70);
  puts(10_000, 0xf0, [0x7d, 1]);
  pass(20_000);
  isIn = false;
  sends(20_000, 0xc0, 1);
  isIn = true;
  expect(outlet.revive()).toBe(0xffff);
  const before = port.bytesTaken;
  puts(20_000, 0xf7, [2, 0xf7]);
  plays(20_000, 0x80, 60, 64);
  pass(30_000);
  sends(30_000, 0x80, 60, 64);
  pass(100_000);
  expect(hexOf(port.recorded().bytes.slice(before))).toBe('80 3C 40 80 3C 40');
});

describe('somebody plays along', () => {
  const visit = (status: number, data1: number, data2: number) => (rig: Rig, at: number) =>
    rig.visit(at, status, data1, data2);
  const theirs = (length: number) => [0xf0, 0x7d, ...Array.from({ length }, (_, n) => n & 0x7f), 0xf7];
  const visits = fc.oneof(
    fc.tuple(fc.constantFrom(0xbe, 0xde), fc.nat(127), fc.nat(127)).map((words) => visit(...words)),
    fc
      .integer({ min: 0, max: 100 })
      .map((length) => (rig: Rig, at: number) => rig.visitSysEx(at, theirs(length))),
  );

  test('what they send comes whole and in order, and so does the song', () => {
    fc.assert(
      fc.property(steps(fc.oneof({ weight: 3, arbitrary: song }, visits), 6000), (all) => {
        const port = new MockPort({ record: true, wire: DEVICE });
        const rig = played(all, port, true);
        const apart = new MockPort({ record: true, wire: DEVICE });
        played(all, apart, true, true);
        const isTheirs = (one: string) => /^(BE|DE|F0 7D)/.test(one);
        const isNotes = (one: string) => !isTheirs(one) && !one.startsWith('F');
        const [got, meant] = [messagesOf(port), messagesOf(apart)];
        expect(got.filter(isTheirs)).toEqual(meant.filter(isTheirs));
        expect(got.filter(isNotes)).toEqual(meant.filter(isNotes));
        expectAsNew(rig, port);
      }),
    );
  });

  test('they go before what waits, and count for when the wire is free', () => {
    const port = new MockPort({ record: true, wire: DEVICE });
    const { send: sends, visit: plays, outlet, pass } = outletRig([{ port }], { takesVisitor: true });
    for (let key = 0; key < 20; key += 1) sends(0, 0x90, key, 1);
    const taken = port.bytesTaken;
    plays(0, 0xb4, 1, 2);
    plays(0, 0xb4, 1, 3);
    const free = new Float64Array(1);
    outlet.wireFree(free);
    expect(free[0]).toBeCloseTo(22 * 3 * 320, 3);
    pass(1_000_000);
    expect(hexOf(port.recorded().bytes.slice(taken, taken + 6))).toBe('B4 01 02 B4 01 03');
  });

  test('a SysEx of the song of which nothing more comes is given up after a second, not before', () => {
    const port = new MockPort({ record: true, wire: DEVICE });
    const { payload: puts, visit: plays, pass, outlet } = outletRig([{ port }], { takesVisitor: true });
    puts(0, 0xf0, [0x7d, 1, 2]);
    plays(1000, 0x94, 60, 70);
    const next = Float64Array.of(Number.POSITIVE_INFINITY);
    outlet.nextPump(next);
    expect(next[0]).toBeCloseTo(4 * 320 + 1_000_000, 3);
    pass(1_000_000);
    expect(port.bytesTaken).toBe(4);
    pass(1_002_000);
    expect(hexOf(port.recorded().bytes)).toBe('F0 7D 01 02 94 3C 46');
    // What still comes of it would be data for another status.
    puts(1_002_000, 0xf7, [3, 0xf7]);
    pass(2_000_000);
    expect(port.bytesTaken).toBe(7);
  });

  test('a SysEx of theirs is one message, in however many pieces, and a reset of theirs is one', () => {
    const port = new MockPort({ record: true, wire: DEVICE });
    const { visitSysEx, send: sends, pass, observed } = outletRig([{ port }], { takesVisitor: true });
    visitSysEx(0, theirs(80));
    pass(100_000);
    expect(observed.numbers[Slot.messagesSent]).toBe(1);
    sends(100_000, 0xe0, 0, 100);
    pass(200_000);
    expect(observed.bend[0]).toBe(12_800);
    visitSysEx(200_000, [0xf0, 0x7e, 0x7f, 0x09, 0x01, 0xf7]);
    pass(300_000);
    expect([observed.bend[0], observed.numbers[Slot.messagesSent]]).toEqual([8192, 3]);
  });

  test('one that a status byte has ended is waited for no more', () => {
    const port = new MockPort({ record: true, wire: DEVICE });
    const { payload: puts, send: sends, visit: plays, pass } = outletRig([{ port }], { takesVisitor: true });
    puts(0, 0xf0, [0x7d, 1]);
    sends(0, 0xc0, 5);
    plays(0, 0x94, 60, 70);
    pass(10_000);
    expect(hexOf(port.recorded().bytes)).toBe('F0 7D 01 C0 05 94 3C 46');
  });

  test('the note-off that was kept for a key of both has the velocity of none, and its bytes are counted', () => {
    const port = new MockPort({ record: true, wire: DEVICE });
    const rig = outletRig([{ port }], { takesVisitor: true });
    rig.send(0, 0x90, 60, 70);
    rig.visit(0, 0x90, 60, 71);
    rig.send(0, 0x80, 60, 33);
    rig.pass(10_000);
    rig.visit(10_000, 0x80, 60, 35);
    rig.pass(50_000);
    expect(hexOf(port.recorded().bytes)).toBe('90 3C 46 90 3C 47 80 3C 23 80 3C 40');
    expectAsNew(rig, port);
  });

  test('what they play while the port is gone is not played later', () => {
    const port = new MockPort({ record: true, wire: DEVICE });
    let isIn = false;
    const write = port.write.bind(port);
    port.write = (...all) => (isIn ? write(...all) : WRITE_LOST);
    const {
      outlet,
      visit: plays,
      visitSysEx,
      send: sends,
      pass,
    } = outletRig([{ port: Object.assign(port, { revive: () => isIn }) }], { takesVisitor: true });
    sends(0, 0x90, 1, 1);
    plays(0, 0x90, 60, 70);
    visitSysEx(0, theirs(3));
    isIn = true;
    expect(outlet.revive()).toBe(0xffff);
    plays(0, 0x90, 62, 70);
    pass(1_000_000);
    expect(hexOf(port.recorded().bytes)).toBe('90 3E 46');
  });

  test('nobody is heard where nobody was to play along', () => {
    const port = new MockPort({ record: true });
    const { visit: plays, visitSysEx, pass } = outletRig([{ port }]);
    plays(0, 0x90, 60, 70);
    visitSysEx(0, theirs(3));
    pass(1_000_000);
    expect(port.bytesTaken).toBe(0);
  });
});

test('a port that says full is asked again after a millisecond, and the wire counts from then', () => {
  const port = new MockPort({ record: true, wire: DEVICE });
  let isFull = true;
  const write = port.write.bind(port);
  port.write = (...all) => (isFull ? WRITE_FULL : write(...all));
  const { send: sends, outlet, pass } = outletRig([{ port }]);
  sends(5000, 0x90, 60, 70);
  const [next, free] = [Float64Array.of(Number.POSITIVE_INFINITY), new Float64Array(1)];
  outlet.nextPump(next);
  outlet.wireFree(free);
  expect([next[0], free[0]]).toEqual([1000, 1000 + 960]);
  isFull = false;
  pass(999);
  expect(port.bytesTaken).toBe(0);
  pass(1000);
  expect([...port.recorded().bytes]).toEqual([...bytesOf('90 3C 46')]);
});
