import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { ON_WIRE_LENGTH } from '../../../src/core/observe/fold-wire.ts';
import { NEVER_SEEN, Slot } from '../../../src/core/observe/observed-state.ts';
import { PortSlot } from '../../../src/core/observe/port-state.ts';
import { WireWitness } from '../../../src/engine/lane/wire-witness.ts';
import { LatenessLog } from '../../../src/engine/watch/lateness-log.ts';
import { hex } from '../../support/hex.ts';

function rig(visits?: LatenessLog) {
  const observed = createObservedState();
  const port = observed.ports[1]!;
  const witness = new WireWitness(observed, port, visits);
  const span = new Float64Array(ON_WIRE_LENGTH);
  const at = (due: number, song: number) => Float64Array.of(due, song, due);
  span[0] = 5000;
  span[1] = 5960;
  return {
    observed,
    port: port.numbers,
    message(text: string, due = 4000, song = 3000) {
      const [status, data1 = 0, data2 = 0] = hex(text);
      witness.sawMessage(status!, data1, data2, hex(text).length, at(due, song), span);
    },
    visit: (due: number) => witness.sawVisit(at(due, -1), span),
    payload(status: number, text: string) {
      const bytes = hex(text);
      witness.sawPayload(status, Uint8Array.from(bytes), bytes.length, at(4000, 3000), span);
    },
  };
}

describe('what a port has taken', () => {
  test('how long what somebody plays took from its arrival to the wire: the worst, and each in a log', () => {
    const log = new LatenessLog();
    const { observed, visit } = rig(log);
    for (const arrived of [4700, 4000, 4990]) visit(arrived);
    expect(observed.numbers[Slot.visitorWorstMicros]).toBe(1000);
    const counts = log.counts();
    expect([300, 1000, 10].map((micros) => counts[micros])).toEqual([1, 1, 1]);
  });

  test('a note-on stands in the picture with its moment on the wire and in the song', () => {
    const { observed, port, message } = rig();
    message('93 3C 40');
    expect(observed.velocity[3 * 128 + 60]).toBe(64);
    expect(observed.onsetMicros[3 * 128 + 60]).toBe(5000);
    expect(observed.onsetSongMicros[3 * 128 + 60]).toBe(3000);
    expect(observed.bytes[3]).toBe(3);
    expect([port[PortSlot.messages], port[PortSlot.noteOns], port[PortSlot.bytes]]).toEqual([1, 1, 3]);
    expect(port[PortSlot.worstOnsetLatenessMicros]).toBe(1960);
  });

  test('a note-off, one as note-on of velocity 0, a controller: messages and no note-ons', () => {
    const { observed, port, message } = rig();
    for (const text of ['83 3C 40', '93 3C 00', 'B3 07 40', 'F8']) message(text);
    expect([port[PortSlot.messages], port[PortSlot.noteOns], port[PortSlot.bytes]]).toEqual([4, 0, 10]);
    expect(port[PortSlot.worstOnsetLatenessMicros]).toBe(0);
    expect([...observed.bytes]).toEqual([0, 0, 0, 9, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]);
    expect(observed.numbers[Slot.bytesSent]).toBe(10);
  });

  test('a note that is not of the song is late for nothing; one at its very beginning is', () => {
    const { port, message } = rig();
    message('90 3C 40', 4000, -1);
    expect([port[PortSlot.noteOns], port[PortSlot.worstOnsetLatenessMicros]]).toEqual([1, 0]);
    message('90 3D 40', 4000, 0);
    expect(port[PortSlot.worstOnsetLatenessMicros]).toBe(1960);
  });
});

describe('SysEx', () => {
  test('is one message however many its pieces; every byte counts', () => {
    const { observed, port, payload } = rig();
    payload(0xf0, 'F0 7D 01 02');
    payload(0, '03 04 F7');
    expect([port[PortSlot.messages], port[PortSlot.bytes]]).toEqual([1, 7]);
    expect(observed.numbers[Slot.messagesSent]).toBe(1);
    expect(observed.numbers[Slot.bytesSent]).toBe(7);
  });

  /** F0 7E dd 09 01–03 F7 (MIDI 1.0, Table VIIa; General MIDI Level 2). */
  test.each([
    ['F0 7E 7F 09 01 F7', true],
    ['F0 7E 00 09 02 F7', true],
    ['F0 7E 7F 09 03 F7', true],
    ['F0 7F 7F 09 01 F7', false],
    ['F0 7E 7F 08 01 F7', false],
    ['F0 7E 7F 09', false],
    ['F0 7D 7F 09 01 F7', false],
  ])('%s makes the picture new: %s', (text, isReset) => {
    const { observed, message, payload } = rig();
    message('C3 05');
    message('93 3C 40');
    payload(0xf0, text);
    expect(observed.program[3]).toBe(isReset ? NEVER_SEEN : 5);
    expect(observed.sounding[3]).toBe(isReset ? 0 : 1);
  });

  test('its later pieces are no reset, whatever they hold', () => {
    const { observed, message, payload } = rig();
    message('C3 05');
    payload(0, 'F0 7E 7F 09 01 F7');
    expect(observed.program[3]).toBe(5);
  });
});
