import { expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { transportState } from '../../../src/core/observe/song-position.ts';
import { Op } from '../../../src/core/schedule/command.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { VirtualClock } from '../../../src/engine/clock/virtual-clock.ts';
import { WireOutlet } from '../../../src/engine/lane/wire-outlet.ts';
import { CommandRing } from '../../../src/engine/run/command-ring.ts';
import { EngineRun } from '../../../src/engine/run/engine-run.ts';
import { type OutputPort, WRITE_DONE } from '../../../src/ports/output-port.ts';
import { WireReader } from '../../support/wire-reader.ts';
import { planOfRows, type Row } from '../fixtures/plan-of-rows.ts';

const SONG: Row[] = [
  [0, 0x90, 60, 90],
  [500_000, 0x80, 60, 64],
  [500_000, 0x90, 64, 90], // never released by the song
];

function rig(staysOpen: boolean) {
  const module = new WireReader();
  const port: OutputPort = {
    name: 'module',
    wire: MIDI_WIRE,
    write: (bytes, start, length) => {
      module.read(bytes.slice(start, start + length));
      return WRITE_DONE;
    },
    flush: () => true,
    revive: () => false,
    close: () => {},
  };
  const clock = new VirtualClock();
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
