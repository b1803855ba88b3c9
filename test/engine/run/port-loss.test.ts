import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { Op } from '../../../src/core/schedule/command.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { VirtualClock } from '../../../src/engine/clock/virtual-clock.ts';
import { WireOutlet } from '../../../src/engine/lane/wire-outlet.ts';
import { CommandRing } from '../../../src/engine/run/command-ring.ts';
import { EngineRun } from '../../../src/engine/run/engine-run.ts';
import { IdleWork } from '../../../src/engine/run/idle-work.ts';
import { lastSilence } from '../../../src/engine/run/last-silence.ts';
import type { PlayerOptions } from '../../../src/engine/run/player-options.ts';
import { RunCell } from '../../../src/engine/run/run-cell.ts';
import { HangWatch } from '../../../src/engine/watch/hang-watch.ts';
import { type OutputPort, WRITE_DONE, WRITE_LOST } from '../../../src/ports/output-port.ts';
import { readStream } from '../../support/stream-log.ts';
import { WireReader } from '../../support/wire-reader.ts';
import { planOfRows, type Row } from '../fixtures/plan-of-rows.ts';

/** A module behind a plug that comes loose. What arrives is judged by a reader of the wire. */
class LoosePlug implements OutputPort {
  readonly name = 'loose plug';
  readonly wire = MIDI_WIRE;
  readonly module = new WireReader();
  isIn = true;
  /** Somebody watches the plug, as a serial device is watched. */
  isWatched = false;
  /** What came since the plug was last put in. */
  got: number[] = [];
  #wasOut = false;

  pull(): void {
    this.isIn = false;
    this.#wasOut = true;
    this.got = [];
  }

  gone(): boolean {
    return this.isWatched && this.#wasOut;
  }

  write(bytes: Uint8Array, start: number, length: number): typeof WRITE_DONE | typeof WRITE_LOST {
    if (!this.isIn) return WRITE_LOST;
    this.module.read(bytes.slice(start, start + length));
    this.got.push(...bytes.subarray(start, start + length));
    return WRITE_DONE;
  }

  flush(): boolean {
    return true;
  }

  revive(): boolean {
    if (this.isIn) this.#wasOut = false;
    return this.isIn;
  }

  close(): void {}
}

/** The sending thread's loop, idle work included, on a virtual clock. */
function rig(rows: readonly Row[], more: Partial<PlayerOptions> = {}, port = new LoosePlug()) {
  const clock = new VirtualClock();
  const observed = createObservedState();
  const ring = new CommandRing();
  const outlet = new WireOutlet({ clock, observed, lanes: [{ port }] });
  const options = { plan: planOfRows(rows), durationMicros: 60_000_000, outputs: [], ...more };
  const run = new EngineRun(options, outlet, observed, ring, clock);
  const idleWork = new IdleWork(run, outlet, new HangWatch(new RunCell()), clock, []);
  run.begin(options);
  return {
    port,
    observed,
    outlet,
    clock,
    run,
    /** Run time at which the run was over, after it was told to quit. */
    quit(until: number, meanwhile: (micros: number) => void = () => {}): number {
      ring.push(Op.quit, 0, 0);
      while (run.step() && clock.nowMicros() < until) {
        idleWork.doSome();
        meanwhile(clock.nowMicros());
        clock.set(Math.min(run.wake[0]!, clock.nowMicros() + 250_000));
      }
      return clock.nowMicros();
    },
    advanceTo(micros: number): void {
      do {
        run.step();
        idleWork.doSome();
        // As the thread does: it never sleeps longer than a quarter of a second.
        clock.set(Math.min(micros, run.wake[0]!, clock.nowMicros() + 250_000));
      } while (clock.nowMicros() < micros);
      run.step();
      idleWork.doSome();
    },
  };
}

const SONG: Row[] = [
  [0, 0xb0, 7, 90],
  [0, 0xc0, 19],
  [0, 0x90, 60, 90],
  [0, 0x91, 64, 90],
  [2_000_000, 0xc0, 33],
  [2_000_000, 0x80, 60, 64],
  [5_000_000, 0x90, 72, 90],
  [6_000_000, 0x80, 72, 64],
];

describe('a port that is lost and comes back', () => {
  test('the song goes on; back again, what hung is released and the state is told anew', () => {
    const { port, observed, advanceTo } = rig(SONG);
    advanceTo(1_000_000);
    expect(port.module.sounding).toBe(2);
    port.isIn = false;
    advanceTo(3_000_000);
    expect(observed.numbers[Slot.portTrouble]).toBe(2);
    expect(observed.numbers[Slot.positionMicros]).toBeGreaterThan(2_900_000);
    port.isIn = true;
    advanceTo(3_600_000);
    expect(observed.numbers[Slot.portTrouble]).toBe(0);
    expect(port.module.sounding).toBe(0);
    expect(port.module.said.get('0:program')).toBe(33); // changed while the module was away
    expect(port.module.said.get('0:cc7')).toBe(90);
    advanceTo(5_500_000);
    expect(port.module.sounding).toBe(1);
    advanceTo(6_500_000);
    expect(port.module.sounding).toBe(0);
    expect(port.module.faults).toEqual([]);
  });

  test('or the song waits, if that is wished, and goes on by itself', () => {
    const { port, observed, advanceTo } = rig(SONG, { whenPortLost: 'pause' });
    advanceTo(1_000_000);
    port.isIn = false;
    advanceTo(20_000_000);
    const position = observed.numbers[Slot.positionMicros]!;
    expect(position).toBeLessThan(2_500_000);
    port.isIn = true;
    advanceTo(25_500_000);
    expect(observed.numbers[Slot.positionMicros]).toBeGreaterThan(position + 4_000_000);
    expect(port.module.noteOns.map(({ key }) => key)).toEqual([60, 64, 72]);
    expect(port.module.faults).toEqual([]);
  });
});

describe('a port that goes while nothing is sent', () => {
  test('before the run begins: it is seen at once, and a song that waits for it waits at its beginning', () => {
    const plug = new LoosePlug();
    plug.isWatched = true;
    plug.pull();
    const { port, observed, run, advanceTo } = rig(
      [[300_000, 0x90, 60, 90]],
      { whenPortLost: 'pause' },
      plug,
    );
    run.step(); // before anybody looks after ports
    expect(observed.numbers[Slot.portTrouble]).toBe(2);
    advanceTo(2_000_000);
    expect(observed.numbers[Slot.positionMicros]).toBe(0);
    port.isIn = true;
    advanceTo(4_000_000);
    expect(port.module.noteOns.map(({ key }) => key)).toEqual([60]);
  });

  test('is seen without a write, and what hung is released when it is back', () => {
    const { port, observed, advanceTo } = rig(SONG);
    port.isWatched = true;
    advanceTo(2_500_000);
    expect(port.module.sounding).toBe(1);
    port.pull();
    advanceTo(3_000_000);
    expect(observed.numbers[Slot.portTrouble]).toBe(2);
    port.isIn = true;
    advanceTo(3_500_000);
    expect([port.module.sounding, observed.numbers[Slot.portTrouble]]).toEqual([0, 0]);
  });

  test('and comes back at once, as another one, is told as well', () => {
    const { port, advanceTo } = rig(SONG);
    port.isWatched = true;
    advanceTo(2_500_000);
    port.pull();
    port.isIn = true;
    advanceTo(3_000_000);
    expect(port.module.sounding).toBe(0);
    expect(port.module.faults).toEqual([]);
  });

  test('hears All Notes Off and All Sound Off once a channel', () => {
    const { port, advanceTo } = rig(SONG);
    port.isWatched = true;
    advanceTo(2_500_000);
    port.pull();
    port.isIn = true;
    advanceTo(3_000_000);
    const { messages } = readStream([Uint8Array.from(port.got)]);
    for (const controller of ['7B', '78']) {
      const times = messages.filter((message) => new RegExp(`^B[01] ${controller} 00$`).test(message));
      expect(times.toSorted()).toEqual([`B0 ${controller} 00`, `B1 ${controller} 00`]);
    }
  });
});

describe('a run that is left while its port is gone', () => {
  test('waits a moment, and the silence comes through when the port is back', () => {
    const { port, advanceTo, quit } = rig(SONG);
    advanceTo(1_000_000);
    port.pull();
    const over = quit(20_000_000, (micros) => {
      port.isIn = micros > 2_500_000;
    });
    expect(port.module.sounding).toBe(0);
    expect(port.module.said.get('1:cc120')).toBe(0);
    expect(over).toBeLessThan(3_500_000);
  });

  test('does not wait for ever', () => {
    const { port, observed, advanceTo, quit } = rig(SONG);
    advanceTo(1_000_000);
    port.pull();
    expect(quit(20_000_000)).toBeLessThan(4_000_000);
    expect(observed.numbers[Slot.portTrouble]).toBe(2);
  });

  test('does not wait at all where nothing sounds', () => {
    const { port, advanceTo, quit } = rig([
      [0, 0xb0, 7, 90],
      [9_000_000, 0x90, 60, 90],
    ]);
    advanceTo(1_000_000);
    port.pull();
    expect(quit(20_000_000)).toBeLessThan(1_100_000);
  });
});

test('when the scheduler itself fails, the last silence needs only what was seen', () => {
  const { port, observed, outlet, clock, advanceTo } = rig([[0, 0xb1, 64, 127], [0, 0xe1, 0, 0], ...SONG]);
  advanceTo(500_000);
  expect(port.module.sounding).toBe(2);
  lastSilence(observed, outlet, clock);
  expect(port.module.sounding).toBe(0);
  expect(port.module.unrestful).toEqual([]);
  expect(port.module.said.get('1:cc120')).toBe(0);
});
