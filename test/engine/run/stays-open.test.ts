import { expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { transportState } from '../../../src/core/observe/song-position.ts';
import { Op } from '../../../src/core/schedule/command.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { VirtualClock } from '../../../src/engine/clock/virtual-clock.ts';
import { WireOutlet } from '../../../src/engine/lane/wire-outlet.ts';
import { CommandRing } from '../../../src/engine/run/command-ring.ts';
import { EngineRun } from '../../../src/engine/run/engine-run.ts';
import { type OutputPort, WRITE_DONE, WRITE_FULL } from '../../../src/ports/output-port.ts';
import { WireReader } from '../../support/wire-reader.ts';
import { planOfRows, type Row } from '../fixtures/plan-of-rows.ts';

const SONG: Row[] = [
  [0, 0x90, 60, 90],
  [500_000, 0x80, 60, 64],
  [500_000, 0x90, 64, 90], // never released by the song
];

/** Run times in microseconds: the port is full from … until …, has passed on what it took, and the run begins. */
interface Times {
  readonly fullFrom: number;
  readonly fullUntil: number;
  readonly passedOnAt: number;
  readonly beginsAt: number;
}

function rig(staysOpen: boolean, times: Partial<Times> = {}) {
  const { fullFrom = Infinity, fullUntil = 0, passedOnAt = 0, beginsAt = 0 } = times;
  const module = new WireReader();
  const clock = new VirtualClock();
  const port: OutputPort = {
    name: 'module',
    wire: MIDI_WIRE,
    write: (bytes, start, length) => {
      if (clock.nowMicros() >= fullFrom && clock.nowMicros() < fullUntil) return WRITE_FULL;
      module.read(bytes.slice(start, start + length));
      return WRITE_DONE;
    },
    flush: () => clock.nowMicros() >= passedOnAt,
    revive: () => false,
    close: () => {},
  };
  const observed = createObservedState();
  const ring = new CommandRing();
  const options = { plan: planOfRows(SONG), durationMicros: 1_000_000, outputs: [], staysOpen };
  const run = new EngineRun(
    options,
    new WireOutlet({ clock, observed, lanes: [{ port }] }),
    observed,
    ring,
    clock,
  );
  clock.set(beginsAt);
  run.begin(options);
  /** Until the run is over or this run time has come; true while it goes on. */
  const goTo = (micros: number): boolean => {
    while (run.step()) {
      if (clock.nowMicros() >= micros) return true;
      clock.set(Math.min(micros, run.wake[0]!));
    }
    return false;
  };
  return { module, observed, run, goTo, press: (op: number) => ring.push(op, 0, 0) };
}

test('a run is over once the song is, and a run that stays open is not', () => {
  expect(rig(false).goTo(60_000_000)).toBe(false);
  const { module, observed, run, goTo } = rig(true);
  expect(goTo(60_000_000)).toBe(true);
  expect(transportState(observed)).toBe('ended');
  expect(module.noteOns).toHaveLength(2);
  expect(module.sounding).toBe(0);
  expect(run.wake[0]).toBe(Infinity); // it costs nothing to stand by
});

test('what stays open plays again, seeks, and quits in silence at any moment', () => {
  for (const quitAt of [30_000_000, 60_200_000, 60_700_000, 90_000_000]) {
    const { module, observed, run, goTo, press } = rig(true);
    goTo(Math.min(quitAt, 60_000_000));
    if (quitAt > 60_000_000) {
      press(Op.play);
      goTo(quitAt);
      expect(module.noteOns).toHaveLength(quitAt < 60_500_000 ? 3 : 4);
      expect(module.sounding).toBe(quitAt < 61_000_000 ? 1 : 0);
    }
    press(Op.quit);
    expect(goTo(quitAt + 5_000_000)).toBe(false);
    expect(run.how).toBe('quit');
    expect(transportState(observed)).toBe('stopped');
    expect(module.sounding).toBe(0);
    expect(module.faults).toEqual([]);
  }
});

test('what the song ends with waits before a full port: it is judged once all of it has left', () => {
  const open = rig(true);
  open.goTo(60_000_000);
  for (const times of [{ fullFrom: 250_000, fullUntil: 3_000_000 }, { passedOnAt: 3_000_000 }]) {
    const slow = rig(true, times);
    expect(slow.goTo(2_500_000)).toBe(true);
    expect(transportState(slow.observed)).toBe('ended');
    expect(slow.run.wake[0]).toBeLessThan(2_600_000); // it looks again soon
    expect(slow.goTo(60_000_000)).toBe(true);
    expect(slow.run.wake[0]).toBe(Infinity);
    expect(slow.module.sounding).toBe(0);
    // Nothing but what was meant to be sent: no second silence for what was only on its way.
    const sorted = (messages: number[][]) => messages.map(String).sort();
    expect(sorted(slow.module.messages)).toEqual(sorted(open.module.messages));
  }
});

test('time counts from the moment it begins, however long getting ready took', () => {
  const { module, goTo } = rig(false, { beginsAt: 400_000 });
  goTo(700_000);
  expect(module.noteOns).toHaveLength(1);
  goTo(1_000_000);
  expect(module.noteOns).toHaveLength(2);
});
