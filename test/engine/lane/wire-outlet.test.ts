import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Instrument } from '../../../src/core/instrument/instrument.ts';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { PortSlot, PortTrouble } from '../../../src/core/observe/port-state.ts';
import { wireFor } from '../../../src/core/wire/wire-for.ts';
import { MIDI_WIRE, type WireTraits } from '../../../src/core/wire/wire-traits.ts';
import { LEAD_MICROS } from '../../../src/engine/lane/wire-lane.ts';
import { LatenessLog } from '../../../src/engine/watch/lateness-log.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { type OutputPort, WRITE_DONE, WRITE_FULL, WRITE_LOST } from '../../../src/ports/output-port.ts';
import { outletRig } from '../fixtures/outlet-rig.ts';

const hex = (bytes: Uint8Array) => Buffer.from(bytes).toString('hex').toUpperCase().replace(/..\B/g, '$& ');

describe('bytes on the wire', () => {
  test('running status: the second of two note-ons leaves its status byte out (MIDI 1.0, p. 5)', () => {
    const port = new MockPort({ record: true });
    const { send } = outletRig([{ port }]);
    send(0, 0x90, 0x3c, 0x40);
    send(0, 0x90, 0x40, 0x40);
    send(0, 0x91, 0x40, 0x40);
    expect(hex(port.recorded().bytes)).toBe('90 3C 40 40 40 91 40 40');
  });

  test('a status byte is repeated every two seconds of the song, not of the clock (MIDI 1.0, p. A-2)', () => {
    // The same song twice, handed over a little late in the second run: the bytes must be the same.
    const runs = [0, 37.25].map((late) => {
      const port = new MockPort({ record: true });
      const { send, pass } = outletRig([{ port }]);
      for (let i = 0; i < 40; i += 1) {
        pass(i * 500_000 + (i % 3) * late);
        send(i * 500_000 + late / 3, 0x90, 60, i % 2 === 0 ? 80 : 0);
      }
      return hex(port.recorded().bytes);
    });
    expect(runs[1]).toBe(runs[0]);
    expect(runs[0]!.split(' ').filter((byte) => byte === '90').length).toBe(10);
  });

  test('an interface that encodes for itself gets every message whole', () => {
    const port = new MockPort({ record: true, wire: { ...MIDI_WIRE, runningStatus: 'device' } });
    const { send } = outletRig([{ port }]);
    send(0, 0xc0, 5);
    send(0, 0xc0, 6);
    expect(hex(port.recorded().bytes)).toBe('C0 05 C0 06');
  });

  test('SysEx gets its F0, goes in pieces, and ends running status', () => {
    const port = new MockPort({ record: true });
    const { send, payload, pass } = outletRig([{ port }]);
    const body = [0x7d, ...Array.from({ length: 100 }, (_, i) => i), 0xf7];
    send(0, 0x90, 1, 2);
    payload(0, 0xf0, body);
    send(0, 0x90, 3, 4);
    pass(1_000_000);
    expect([...port.recorded().bytes]).toEqual([0x90, 1, 2, 0xf0, ...body, 0x90, 3, 4]);
  });

  test('a SysEx handed over in parts counts as one message', () => {
    const port = new MockPort({ record: true });
    const { payload, observed } = outletRig([{ port }]);
    payload(0, 0xf0, [0x7d, 1, 2]);
    payload(0, 0xf7, [3, 4]);
    payload(0, 0xf7, [5, 0xf7]);
    expect(hex(port.recorded().bytes)).toBe('F0 7D 01 02 03 04 05 F7');
    expect(observed.numbers[Slot.messagesSent]).toBe(1);
  });

  test('what goes on with a SysEx is left out where none is open: alone it would be data for any status', () => {
    const port = new MockPort({ record: true });
    const { payload, send, outlet, pass } = outletRig([{ port }]);
    payload(0, 0xf7, [60, 64, 0xf7]);
    payload(0, 0xf0, [0x7f, 0x7f, 0x04]);
    send(0, 0xc0, 1); // ends it (MIDI 1.0, Table I)
    payload(0, 0xf7, [60, 64, 0xf7]);
    send(0, 0xf8); // a real-time byte does not
    payload(0, 0xf0, [0x7f, 0x7f]);
    send(0, 0xf8);
    payload(0, 0xf7, [0x04, 0xf7]);
    expect(hex(port.recorded().bytes)).toBe('F0 7F 7F 04 C0 01 F8 F0 7F 7F F8 04 F7');
    // One that was taken back before any of it left has nothing to be ended.
    for (let key = 0; key < 60; key += 1) send(0, 0xc0, key);
    const taken = port.bytesTaken;
    payload(0, 0xf0, [0x7f, 0x7f]);
    outlet.dropOthers();
    payload(0, 0xf7, [0xf7]);
    pass(1_000_000);
    expect(port.bytesTaken).toBe(taken);
  });

  test('a General MIDI reset counts when it is whole, in packets too', () => {
    const port = new MockPort({ record: true });
    const { payload, send, observed } = outletRig([{ port }]);
    send(0, 0xe0, 0, 100);
    payload(0, 0xf0, [0x7e, 0x7f, 0x09]);
    expect(observed.bend[0]).toBe(12800);
    payload(0, 0xf7, [0x01, 0xf7]);
    expect(observed.bend[0]).toBe(8192);
  });
});

describe('a busy wire', () => {
  test('no more than the lead is handed over; the rest follows in order when asked for', () => {
    const port = new MockPort({ record: true });
    const { send, pass, observed, outlet } = outletRig([{ port }]);
    for (let key = 0; key < 100; key += 1) send(0, 0x90, key, 1);
    const first = port.bytesTaken * 320;
    expect(first).toBeGreaterThanOrEqual(LEAD_MICROS);
    expect(first).toBeLessThan(LEAD_MICROS + 960);
    expect(observed.numbers[Slot.noteOnsSent]).toBe((port.bytesTaken - 1) / 2);
    expect(observed.numbers[Slot.wireFreeMicros]).toBeGreaterThanOrEqual(201 * 320);
    pass(1_000_000);
    expect([...port.recorded().bytes]).toEqual([
      0x90,
      ...Array.from({ length: 100 }, (_, key) => [key, 1]).flat(),
    ]);
    expect(port.recorded().micros.at(-1)).toBe(200 * 320);
    expect(observed.numbers[Slot.worstOnsetLatenessMicros]).toBe(201 * 320);
    expect(outlet.drained()).toBe(true);
  });

  test('real-time bytes overtake what waits, but not a Song Position Pointer', () => {
    const port = new MockPort({ record: true });
    const { send, pass } = outletRig([{ port }]);
    for (let key = 0; key < 40; key += 1) send(0, 0x90, key, 1);
    const before = port.bytesTaken;
    send(0, 0xf8);
    expect(port.recorded().bytes[before]).toBe(0xf8);
    send(0, 0xf2, 10, 0);
    send(0, 0xfb);
    pass(1_000_000);
    expect(hex(port.recorded().bytes.slice(-4))).toBe('F2 0A 00 FB');
  });

  test('a driver that is soon full loses nothing and changes no order', () => {
    const message = fc.tuple(
      fc.integer({ min: 0, max: 20_000 }),
      fc.constantFrom(0x80, 0x90, 0x9f, 0xb3, 0xc2, 0xe4),
      fc.integer({ min: 0, max: 127 }),
      fc.integer({ min: 0, max: 127 }),
    );
    fc.assert(
      fc.property(
        fc.array(message, { maxLength: 200 }),
        fc.integer({ min: 3, max: 30 }),
        (messages, capacityBytes) => {
          const tight = new MockPort({
            record: true,
            capacityBytes,
            wire: { ...MIDI_WIRE, runningStatus: 'device' },
          });
          const wide = new MockPort({ record: true, wire: { ...MIDI_WIRE, runningStatus: 'device' } });
          for (const port of [tight, wide]) {
            const { send, pass } = outletRig([{ port }]);
            let time = 0;
            for (const [gap, status, data1, data2] of messages) {
              time += gap;
              pass(time);
              send(time, status, data1, data2);
            }
            pass(time + 5_000_000);
          }
          expect(tight.recorded().bytes).toEqual(wide.recorded().bytes);
        },
      ),
    );
  });

  test('notes that still wait can be taken back; the note-offs of struck ones and state messages stay', () => {
    const port = new MockPort({ record: true });
    const { send, pass, outlet, observed } = outletRig([{ port }]);
    for (let key = 0; key < 60; key += 1) send(0, 0x90, key, 1);
    const struck = observed.sounding[0]!;
    const taken = port.bytesTaken;
    for (const key of [0, 59, 59]) send(0, 0x80, key, 64);
    send(0, 0xc0, 9);
    send(0, 0x91, 60, 1);
    const unstruck = new Uint16Array(2048);
    outlet.withdraw(1 << 0, unstruck);
    // 59 had its note-off behind it; of the others that were never struck the caller is told.
    expect(unstruck.subarray(0, 60).reduce((sum, count) => sum + count)).toBe(59 - struck);
    expect([unstruck[0], unstruck[58], unstruck[59], unstruck[128 + 60]]).toEqual([0, 1, 0, 0]);
    pass(1_000_000);
    expect(observed.sounding[0]).toBe(struck - 1);
    expect(hex(port.recorded().bytes.slice(taken))).toBe('80 00 40 3B 40 C0 09 91 3C 01');
  });
});

describe('what is seen', () => {
  test('the picture holds what a port took, and nothing while the port is gone', () => {
    let up = true;
    const taken: number[] = [];
    const port: OutputPort = {
      name: 'loose plug',
      wire: MIDI_WIRE,
      write(bytes, start, length) {
        if (!up) return WRITE_LOST;
        taken.push(...bytes.slice(start, start + length));
        return WRITE_DONE;
      },
      flush: () => true,
      revive: () => up,
      close: () => undefined,
    };
    const { send, outlet, observed } = outletRig([{ port }]);
    send(0, 0x90, 60, 100);
    up = false;
    send(1000, 0x80, 60, 64);
    send(1000, 0x90, 62, 100);
    outlet.pump();
    expect(observed.numbers[Slot.portTrouble]).toBe(2);
    expect(observed.velocity[60]).toBe(100);
    expect(observed.velocity[62]).toBe(0);
    expect(outlet.lanes[0]!.revive()).toBe(false);
    up = true;
    expect(outlet.lanes[0]!.revive()).toBe(true);
    send(2000, 0x90, 64, 100);
    // The receiver may have forgotten its running status: the status byte is sent again.
    expect(taken.slice(-3)).toEqual([0x90, 64, 100]);
    outlet.pump();
    expect(observed.numbers[Slot.portTrouble]).toBe(0);
  });

  test('two ports share the channels; system messages go to both', () => {
    const left = new MockPort({ record: true });
    const right = new MockPort({ record: true });
    const { send, observed } = outletRig([{ port: left, channels: [0, 1] }, { port: right }]);
    send(0, 0x90, 60, 1);
    send(0, 0x92, 61, 1);
    send(0, 0xf8);
    expect(hex(left.recorded().bytes)).toBe('90 3C 01 F8');
    expect(hex(right.recorded().bytes)).toBe('92 3D 01 F8');
    expect(observed.numbers[Slot.bytesPerSecond]).toBe(6250);
  });

  test('each port has its own load, worst onset and trouble; the old figures are all of them or the worst', () => {
    let isUp = true;
    const left = new MockPort();
    const right: OutputPort = {
      name: 'loose plug',
      wire: MIDI_WIRE,
      write: () => (isUp ? WRITE_DONE : WRITE_LOST),
      flush: () => true,
      revive: () => isUp,
      close: () => undefined,
    };
    const { send, pass, observed, outlet } = outletRig([
      { port: left, channels: [0] },
      { port: right, channels: [1] },
    ]);
    const of = (slot: number) => observed.ports.slice(0, 2).map(({ numbers }) => numbers[slot]);
    for (let key = 0; key < 100; key += 1) send(0, 0x90, key, 1);
    send(0, 0x91, 60, 1);
    expect(of(PortSlot.wireFreeMicros)[0]).toBeGreaterThanOrEqual(201 * 320);
    expect(of(PortSlot.wireFreeMicros)[1]).toBe(960);
    expect(observed.numbers[Slot.wireFreeMicros]).toBe(of(PortSlot.wireFreeMicros)[0]);
    pass(200_000);
    expect(observed.numbers[Slot.portCount]).toBe(2);
    expect(of(PortSlot.bytes)).toEqual([201, 3]);
    expect(of(PortSlot.noteOns)).toEqual([100, 1]);
    expect(of(PortSlot.worstOnsetLatenessMicros)).toEqual([201 * 320, 960]);
    expect(observed.numbers[Slot.worstOnsetLatenessMicros]).toBe(201 * 320);
    const [full, idle] = of(PortSlot.peakLoad) as [number, number];
    expect(full).toBeCloseTo(201 / 312.5, 2);
    expect(idle).toBeCloseTo(3 / 312.5, 6);
    // A full wire beside an idle one: of both together it is half as much.
    expect(observed.numbers[Slot.peakLoad]).toBeCloseTo((full + idle) / 2, 2);

    isUp = false;
    send(200_000, 0x91, 62, 1);
    pass(210_000);
    expect(of(PortSlot.trouble)).toEqual([PortTrouble.none, PortTrouble.lost]);
    expect(observed.numbers[Slot.portTrouble]).toBe(PortTrouble.lost);
    expect(of(PortSlot.losses)).toEqual([0, 1]);
    expect(outlet.lostChannels()).toBe(1 << 1);
    expect(outlet.revive()).toBe(0);
    isUp = true;
    expect(outlet.revive()).toBe(1 << 1);
    expect(outlet.lostChannels()).toBe(0);
  });

  test('Active Sensing: never more than 300 ms without a byte (MIDI 1.0, p. 32)', () => {
    const port = new MockPort({ record: true });
    const { send, pass } = outletRig([{ port }], { activeSensing: true });
    pass(1_000_000);
    send(1_000_000, 0x90, 60, 1);
    pass(3_000_000);
    const { micros, bytes } = port.recorded();
    const gaps = micros.slice(1).map((time, i) => time - micros[i]!);
    expect(Math.max(...gaps)).toBeLessThanOrEqual(270_000);
    expect(bytes.filter((byte) => byte !== 0xfe).length).toBe(3);
    expect(bytes.length).toBeLessThan(20);
  });
});

describe('what a command puts before the music', () => {
  const device = { ...MIDI_WIRE, runningStatus: 'device' } as const; // so that a message costs the same in both runs

  test('a silence of sixteen channels: the note behind it is late by command, not by the song', () => {
    const { send, command, pass, observed } = outletRig([{ port: new MockPort({ wire: device }) }]);
    send(0, 0x90, 60, 1);
    pass(10_000);
    for (let channel = 0; channel < 16; channel += 1) {
      command(10_000, 0xb0 | channel, 123, 0);
      command(10_000, 0xb0 | channel, 120, 0);
    }
    send(10_000, 0x90, 64, 1);
    send(10_000, 0x91, 64, 1);
    pass(1_000_000);
    // 32 messages of 960 µs were before it; the song itself has two notes at one moment.
    expect(observed.onsetMicros[64]).toBe(10_000 + 32 * 960);
    expect(observed.numbers[Slot.worstOnsetLatenessMicros]).toBe(2 * 960);
  });

  test('the log takes what was due from its beginning on: nothing of the warming up before', () => {
    const counts = (latenessFromMicros?: number) => {
      const latenessLog = new LatenessLog();
      const options = latenessFromMicros === undefined ? {} : { latenessFromMicros };
      const { send } = outletRig([{ port: new MockPort() }], { latenessLog, ...options });
      for (const due of [0, 999, 1000]) send(due, 0x90, 60, 1);
      return latenessLog.counts().reduce((sum, count) => sum + count, 0);
    };
    expect([counts(), counts(1000), counts(1001)]).toEqual([3, 1, 0]);
  });

  test('a driver that is full is no command: that lateness counts', () => {
    let isFull = false;
    const port = new MockPort({ wire: device });
    const write = port.write.bind(port);
    port.write = (...args) => (isFull ? WRITE_FULL : write(...args));
    const { clock, outlet, send, command, observed } = outletRig([{ port }]);
    command(0, 0xb0, 123, 0);
    isFull = true;
    send(0, 0x90, 60, 1);
    clock.set(50_000);
    isFull = false;
    outlet.pump();
    expect(observed.numbers[Slot.worstOnsetLatenessMicros]).toBe(50_000);
  });

  test('the worst onset is what a wire with the song alone would have given, whatever came between', () => {
    const step = fc.record({
      gapMicros: fc.integer({ min: 0, max: 6000 }),
      notes: fc.integer({ min: 0, max: 9 }),
      commands: fc.integer({ min: 0, max: 12 }),
    });
    fc.assert(
      fc.property(fc.array(step, { minLength: 1, maxLength: 60 }), (steps) => {
        const [alone, disturbed] = [false, true].map((isDisturbed) => {
          const { send, command, pass, observed } = outletRig([{ port: new MockPort({ wire: device }) }]);
          let time = 0;
          for (const { gapMicros, notes, commands } of steps) {
            time += gapMicros;
            pass(time);
            for (let i = 0; isDisturbed && i < commands; i += 1) command(time, 0xb0, 123, 0);
            for (let key = 0; key < notes; key += 1) send(time, 0x90, key, 1);
          }
          pass(time + 5_000_000);
          return [Slot.worstOnsetLatenessMicros, Slot.worstOnsetSongMicros].map(
            (slot) => observed.numbers[slot],
          );
        });
        expect(disturbed).toEqual(alone);
      }),
    );
  });
});

describe('the rests of an instrument', () => {
  const wireWith = (pauses: Partial<Instrument['pauses']>, runningStatus = true) =>
    wireFor(MIDI_WIRE, {
      pauses: {
        afterResetMicros: 0,
        afterProgramMicros: 0,
        afterSysExMicros: 0,
        betweenBytesMicros: 0,
        ...pauses,
      },
      runningStatus,
    });

  /** When each message reached the port. */
  function handedOver(wire: WireTraits, send: (at: ReturnType<typeof outletRig>) => void): number[] {
    const moments: number[] = [];
    const port = new MockPort({ record: true });
    const write = port.write.bind(port);
    port.write = (bytes, start, length, at) => {
      moments.push(Math.round(rig.clock.nowMicros()));
      return write(bytes, start, length, at);
    };
    const rig = outletRig([{ port, wire }]);
    send(rig);
    rig.pass(1_000_000);
    return moments;
  }

  const note = (at: ReturnType<typeof outletRig>) => at.send(0, 0x90, 60, 64);

  test('after a program: nothing is handed over before it is over', () => {
    const moments = handedOver(wireWith({ afterProgramMicros: 30_000 }), (at) => {
      at.send(0, 0xc0, 5);
      note(at);
    });
    expect(moments).toEqual([0, 640 + 30_000]);
    expect(
      handedOver(wireWith({ afterProgramMicros: 30_000 }), (at) => {
        for (const key of [60, 61, 62]) at.send(0, 0x90, key, 64);
      }),
    ).toEqual([0, 960, 1600]); // nothing ahead of the wire, for what a driver holds cannot be made to wait
  });

  test('after a SysEx', () => {
    const moments = handedOver(wireWith({ afterSysExMicros: 50_000 }), (at) => {
      at.payload(0, 0xf0, [0x7e, 0x7f, 0x09, 0x01, 0xf7]);
      note(at);
    });
    expect(moments).toEqual([0, 6 * 320 + 50_000]);
  });

  test('between bytes: what they want is kept after the message', () => {
    const moments = handedOver(wireWith({ betweenBytesMicros: 500 }), (at) => {
      note(at);
      at.send(0, 0x91, 60, 64);
    });
    expect(moments).toEqual([0, 3 * (320 + 500)]);
  });

  test('each message whole, where running status is not understood', () => {
    const port = new MockPort({ record: true });
    const at = outletRig([{ port, wire: wireWith({}, false) }]);
    note(at);
    note(at);
    expect(hex(port.recorded().bytes)).toBe('90 3C 40 90 3C 40');
  });
});

test('all ports are asked to write out what they hold, and to be given up', () => {
  const told: string[] = [];
  const ports = ['left', 'right'].map((name) =>
    Object.assign(new MockPort(), {
      flush: () => told.push(`flush ${name}`) > 0,
      close: () => void told.push(`close ${name}`),
    }),
  );
  const { outlet } = outletRig(ports.map((port) => ({ port })));
  outlet.flush();
  outlet.close();
  expect(told).toEqual(['flush left', 'flush right', 'close left', 'close right']);
});

test('how late a message is handed over is told, the worst is kept, and a log counts each', () => {
  const latenessLog = new LatenessLog();
  const { clock, send, observed, outlet } = outletRig([{ port: new MockPort() }], { latenessLog });
  const { numbers } = observed;
  outlet.pump();
  expect(numbers[Slot.wireFreeMicros]).toBe(0);
  clock.set(5000);
  send(3000, 0x90, 60, 1);
  expect([numbers[Slot.handoverLatenessMicros], numbers[Slot.worstHandoverLatenessMicros]]).toEqual([
    2000, 2000,
  ]);
  send(4900, 0x90, 61, 1);
  expect([numbers[Slot.handoverLatenessMicros], numbers[Slot.worstHandoverLatenessMicros]]).toEqual([
    100, 2000,
  ]);
  const counts = latenessLog.counts();
  expect([counts[2000], counts[100], counts.reduce((sum, count) => sum + count)]).toEqual([1, 1, 2]);
});

test('a run that ends tells of the port that has not taken everything, and of no other', () => {
  const full = new MockPort();
  full.write = () => WRITE_FULL;
  const { observed, outlet, send } = outletRig([
    { port: new MockPort(), channels: [0] },
    { port: full, channels: [1] },
  ]);
  send(0, 0x90, 60, 1);
  outlet.noteUnsent();
  expect(observed.numbers[Slot.portTrouble]).toBe(PortTrouble.none);
  send(0, 0x91, 60, 1);
  outlet.noteUnsent();
  const trouble = observed.ports.slice(0, 2).map(({ numbers }) => numbers[PortSlot.trouble]);
  expect(trouble).toEqual([PortTrouble.none, PortTrouble.heldUp]);
  expect(observed.numbers[Slot.portTrouble]).toBe(PortTrouble.heldUp);
});
