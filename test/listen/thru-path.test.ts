import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { SYSEX_CUT, SYSEX_FIRST, SYSEX_LAST } from '../../src/core/midi/stream-parser.ts';
import { createObservedState } from '../../src/core/observe/create-observed-state.ts';
import { createListenState } from '../../src/core/observe/listen-state.ts';
import { Slot } from '../../src/core/observe/observed-state.ts';
import { MIDI_WIRE } from '../../src/core/wire/wire-traits.ts';
import { VirtualClock } from '../../src/engine/clock/virtual-clock.ts';
import { ThruPath } from '../../src/listen/thru-path.ts';
import { type OutputPort, WRITE_DONE, WRITE_LOST } from '../../src/ports/output-port.ts';
import { differences } from '../support/channel-rest.ts';
import { toHex } from '../support/hex.ts';
import { bytesOf } from '../support/stream-log.ts';
import { WireReader } from '../support/wire-reader.ts';

/** A port whose cable can be pulled, and what has come through it since it was last put in. */
class Cable implements OutputPort {
  readonly name = 'cable';
  readonly wire = MIDI_WIRE;
  isIn = true;
  got: number[] = [];

  write(bytes: Uint8Array, start: number, length: number): typeof WRITE_DONE | typeof WRITE_LOST {
    if (!this.isIn) return WRITE_LOST;
    this.got.push(...bytes.subarray(start, start + length));
    return WRITE_DONE;
  }
  flush = () => true;
  revive = () => this.isIn;
  gone = () => !this.isIn;
  close(): void {}
}

function rig() {
  const cable = new Cable();
  const clock = new VirtualClock();
  const heard = createObservedState();
  const path = new ThruPath({ port: cable }, clock, heard, createListenState(), false);
  let now = 0;
  const pass = (micros: number) => {
    for (const end = now + micros; now < end; ) {
      now += 10_000;
      clock.set(now);
      path.pump();
    }
  };
  const send = (messages: readonly (readonly number[])[]) => {
    for (const [status = 0, data1 = 0, data2 = 0] of messages) path.message(status, data1, data2);
    pass(20_000 + messages.length * 1000);
  };
  return {
    cable,
    heard,
    path,
    pass,
    send,
    /** The cable is out until something is sent, then it is put in; what comes then is kept apart. */
    replug(lostMeanwhile: readonly (readonly number[])[]) {
      cable.isIn = false;
      send([[0x9f, 1, 1], [0x8f, 1, 64], ...lostMeanwhile]);
      expect(path.trouble).toBe(2);
      cable.isIn = true;
      cable.got = [];
      pass(300_000);
      path.lookAfterPort();
      pass(5_000_000);
      expect(path.trouble).toBe(0);
      return messagesIn(cable.got);
    },
  };
}

/** `'B0 65 00  B0 64 00'` → messages of three bytes (or two). */
const said = (text: string) => text.split(/ {2,}/).map((one) => [...bytesOf(one)]);

function messagesIn(bytes: readonly number[]): string[] {
  const reader = new WireReader();
  reader.read(bytes);
  expect(reader.faults).toEqual([]);
  return reader.messages.map((message) => toHex(message));
}

/** Without the silence that goes before: note-offs, the bend home, 123, 120. */
const state = (messages: readonly string[]) =>
  messages.filter((text) => !/^8|^E. 00 40|^B. (7B|78)/.test(text));

describe('a module that comes back is told what the sender had set (MIDI 1.0, p. 17–18)', () => {
  test('bend range and tuning: number, data entry, and the null that the sender ended with', () => {
    const { send, replug } = rig();
    send(said('B0 65 00  B0 64 00  B0 06 0C  B0 26 00  B0 64 02  B0 06 3E  B0 65 7F  B0 64 7F  E0 00 50'));
    expect(state(replug([]))).toEqual([
      ...['B0 65 00', 'B0 64 00', 'B0 06 0C', 'B0 26 00'],
      ...['B0 65 00', 'B0 64 02', 'B0 06 3E'],
      ...['B0 65 7F', 'B0 64 7F'],
      'E0 00 50',
    ]);
  });

  test('a parameter that is still selected stays so: the sender may go on with data entry alone', () => {
    const { send, replug, cable } = rig();
    send(said('B3 63 01  B3 62 08  B3 06 40'));
    expect(state(replug(said('B3 06 41')))).toEqual(['B3 63 01', 'B3 62 08', 'B3 06 41']);
    send(said('B3 06 42'));
    const module = new WireReader();
    module.read(cable.got);
    expect(module.said.get(`3:nrpn ${1 * 128 + 8}.msb`)).toBe(0x42);
  });

  test('increments come after the data they count from', () => {
    const { send, replug } = rig();
    send(said('B0 65 00  B0 64 01  B0 06 40  B0 26 00  B0 60 00  B0 60 00  B0 61 00'));
    expect(state(replug([]))).toEqual(['B0 65 00', 'B0 64 01', 'B0 06 40', 'B0 26 00', 'B0 60 00']);
  });

  test('data entry without a selected parameter is not sent again', () => {
    const { send, replug } = rig();
    send(said('B0 06 40  B0 65 7F  B0 64 7F  B0 06 41'));
    expect(state(replug([]))).toEqual(['B0 65 7F', 'B0 64 7F']);
  });

  test('bank before program, and nothing on channels of which nothing is known', () => {
    const { send, replug } = rig();
    send(said('B5 00 08  B5 20 01  C5 10  B5 07 50'));
    expect(state(replug([]))).toEqual(['B5 00 08', 'B5 20 01', 'C5 10', 'B5 07 50']);
  });

  test('a reset makes what was set before it void', () => {
    const { send, path, replug } = rig();
    send(said('B0 07 50  B0 65 00  B0 64 00  B0 06 0C'));
    const gmOn = bytesOf('F0 7E 7F 09 01 F7');
    path.sysEx(gmOn, gmOn.length, SYSEX_FIRST | SYSEX_LAST);
    send(said('B0 0A 20'));
    expect(state(replug([]))).toEqual(['B0 0A 20']);
    send([[0xff]]);
    expect(state(replug([]))).toEqual([]);
  });
});

describe('what waits', () => {
  /** Six thousand bytes a second come in for eight seconds, twice what the wire carries; then it ends. */
  function flood(notes: readonly (readonly number[])[]): WireReader {
    const cable = new Cable();
    const clock = new VirtualClock();
    const path = new ThruPath({ port: cable }, clock, createObservedState(), createListenState(), false);
    for (let i = 0; i < notes.length; i += 1) {
      clock.set(i * 500);
      path.pump();
      const [status = 0, data1 = 0, data2 = 0] = notes[i]!;
      path.message(status, data1, data2);
    }
    path.end();
    const end = notes.length * 500;
    const limit = end + Math.max(3_000_000, path.waitingMs * 1000 + 1_000_000);
    for (let now = end; now < limit && !path.drained; now += 5000) {
      clock.set(now);
      path.pump();
    }
    const reader = new WireReader();
    reader.read(cable.got);
    return reader;
  }

  test('keys that are held while much waits are released within the bounded end', () => {
    const held = [60, 64, 67, 72].map((key) => [0x90, key, 100]);
    const rest = Array.from({ length: 16_000 }, (_, i) => [0xb0 | (i % 16), 7, i % 128]);
    const reader = flood([...held, ...rest]);
    expect(reader.sounding).toBe(0);
    expect(reader.faults).toEqual([]);
  });

  test('a random flood leaves nothing sounding', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.tuple(
            fc
              .constantFrom(0x80, 0x90, 0x90, 0x90, 0xb0)
              .chain((kind) => fc.integer({ min: kind, max: kind | 15 })),
            fc.integer({ min: 0, max: 119 }),
            fc.integer({ min: 0, max: 127 }),
          ),
          { minLength: 15_000, maxLength: 16_000, size: 'max' },
        ),
        (messages) => {
          expect(flood(messages).sounding).toBe(0);
        },
      ),
      { numRuns: 2, endOnFailure: true },
    );
  });
});

describe('SysEx', () => {
  const sysEx = (path: ThruPath, wire: string, part: number) => {
    const bytes = bytesOf(wire);
    path.sysEx(bytes, bytes.length, part);
  };

  test('dumps and a maker’s own are held, what else is universal passes (docs/timing.md)', () => {
    const { path, pass, cable, heard } = rig();
    sysEx(path, 'F0 7E 00 01 00 00 F7', SYSEX_FIRST | SYSEX_LAST);
    sysEx(path, 'F0 7E 00 07 01 00 F7', SYSEX_FIRST | SYSEX_LAST);
    sysEx(path, 'F0 43 12 F7', SYSEX_FIRST | SYSEX_LAST);
    sysEx(path, 'F0 7F 7F 04 01', SYSEX_FIRST | SYSEX_LAST | SYSEX_CUT);
    pass(100_000);
    expect(cable.got).toEqual([]);
    expect(heard.numbers[Slot.heldSysEx]).toBe(4);
    sysEx(path, 'F0 7F 7F 04 01 00 40 F7', SYSEX_FIRST | SYSEX_LAST);
    pass(100_000);
    expect(toHex(cable.got)).toBe('F0 7F 7F 04 01 00 40 F7');
  });

  test('one that is cut behind its first piece is ended with F7', () => {
    const { path, pass, cable } = rig();
    sysEx(path, 'F0 7F 7F 04 01 00', SYSEX_FIRST);
    sysEx(path, '40', SYSEX_LAST | SYSEX_CUT);
    pass(100_000);
    expect(toHex(cable.got)).toBe('F0 7F 7F 04 01 00 40 F7');
  });
});

describe('laws', () => {
  const controller = fc.oneof(
    { weight: 4, arbitrary: fc.constantFrom(6, 38, 96, 97, 98, 99, 100, 101) },
    {
      weight: 3,
      arbitrary: fc.constantFrom(0, 1, 7, 10, 11, 32, 33, 39, 64, 65, 66, 91, 121, 122, 126, 127),
    },
  );
  const value = fc.constantFrom(0, 1, 2, 64, 127);
  const message = fc.oneof(
    { weight: 8, arbitrary: fc.tuple(fc.constantFrom(0xb0, 0xb9), controller, value) },
    { weight: 1, arbitrary: fc.tuple(fc.constantFrom(0xc0, 0xc9), value) },
    { weight: 1, arbitrary: fc.tuple(fc.constantFrom(0xd0, 0xd9), value) },
    { weight: 1, arbitrary: fc.tuple(fc.constantFrom(0xe0, 0xe9), value, value) },
  );
  const messages = fc.array(message, { maxLength: 40 });

  function receiver(bytes: Iterable<number>, msbClearsLsb: boolean): WireReader {
    const reader = new WireReader(msbClearsLsb);
    reader.read(bytes);
    return reader;
  }

  test('after a loss the module holds what it would hold had it never been away', () => {
    fc.assert(
      fc.property(messages, messages, messages, fc.boolean(), (before, meanwhile, after, msbClearsLsb) => {
        const { send, replug, cable } = rig();
        send(before);
        replug(meanwhile);
        send(after);
        const wanted = receiver([...before, ...meanwhile, ...after].flat(), msbClearsLsb);
        expect(differences(wanted, receiver(cable.got, msbClearsLsb), () => false)).toEqual([]);
      }),
      { numRuns: 300 },
    );
  });

  test('muting a lane leaves its state as the sender set it', () => {
    fc.assert(
      fc.property(messages, messages, fc.boolean(), (before, after, msbClearsLsb) => {
        const { send, path, heard, pass, cable } = rig();
        send(before);
        heard.muted[0] = 1;
        path.settingsChanged();
        pass(5_000_000);
        send(after);
        const wanted = receiver([...before, ...after].flat(), msbClearsLsb);
        expect(differences(wanted, receiver(cable.got, msbClearsLsb), () => false)).toEqual([]);
      }),
      { numRuns: 300 },
    );
  });
});

test('an output that is away at the end has a moment to come back, and hears the silence', () => {
  const { cable, path, pass, send } = rig();
  send([[0x90, 60, 90]]);
  cable.isIn = false;
  path.end();
  pass(20_000);
  expect(path.awaitsReturn()).toBe(true);
  cable.isIn = true;
  cable.got = [];
  expect(path.awaitsReturn()).toBe(false);
  pass(20_000);
  expect(toHex(cable.got)).toBe('80 3C 40 B0 7B 00 78 00');
});

test('an output that goes away while nothing is sent is seen, and hears what it should when it is back', () => {
  const { cable, path, pass, send } = rig();
  send([[0x90, 60, 90]]);
  cable.isIn = false;
  path.lookAfterPort();
  pass(20_000);
  expect(path.trouble).toBe(2);
  cable.isIn = true;
  cable.got = [];
  path.lookAfterPort();
  pass(20_000);
  expect(toHex(cable.got)).toBe('80 3C 40 B0 7B 00 78 00');
});
