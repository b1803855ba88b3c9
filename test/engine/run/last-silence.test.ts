import { expect, test } from 'vitest';
import { VirtualClock } from '../../../src/engine/clock/virtual-clock.ts';
import { lastSilence } from '../../../src/engine/run/last-silence.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { WRITE_FULL, type WriteOutcome } from '../../../src/ports/output-port.ts';
import { WireReader } from '../../support/wire-reader.ts';
import { outletRig } from '../fixtures/outlet-rig.ts';

/** Whoever looks at it makes it go on by two milliseconds. */
class TickingClock extends VirtualClock {
  override read(into: Float64Array): void {
    this.set(this.nowMicros() + 2000);
    super.read(into);
  }
}

/** A module whose driver takes nothing from one moment until another. */
class Module extends MockPort {
  readonly reader = new WireReader();
  fullUntil = 0;
  readonly #clock: VirtualClock;

  constructor(clock: VirtualClock) {
    super();
    this.#clock = clock;
  }

  override write(bytes: Uint8Array, start: number, length: number): WriteOutcome {
    if (this.#clock.nowMicros() < this.fullUntil) return WRITE_FULL;
    this.reader.read(bytes.slice(start, start + length));
    return 0;
  }
}

/** A chord that sounds, and behind it far more than the wire has taken. */
function rig(fullFor: number) {
  const clock = new TickingClock();
  const module = new Module(clock);
  const { outlet, observed, send, command, payload } = outletRig([{ port: module }], { clock });
  for (const key of [60, 64, 67]) send(0, 0x90, key, 90);
  command(0, 0xb3, 64, 127);
  module.fullUntil = clock.nowMicros() + fullFor;
  for (let key = 0; key < 90; key += 1) send(0, 0x91, key, 1);
  send(0, 0x80, 60, 64);
  send(0, 0xc5, 9);
  payload(0, 0xf0, [0x7d, 1, 0xf7]);
  const struck = module.reader.noteOns.length;
  const told = module.reader.messages.length;
  return { clock, module, outlet, observed, struck, told };
}

test.each([0, 300_000, 1_900_000])(
  'what waits is not played, what sounds is ended (full for %i µs)',
  (fullFor) => {
    const { clock, module, outlet, observed, struck, told } = rig(fullFor);
    lastSilence(observed, outlet, clock);
    expect(outlet.drained()).toBe(true);
    expect([module.reader.sounding, module.reader.unrestful, module.reader.faults]).toEqual([0, [], []]);
    expect(module.reader.noteOns.length).toBe(struck);
    expect(module.reader.messages.slice(told).filter(([status]) => status! >= 0xc0)).toEqual([]);
    expect(module.reader.said.get('3:cc120')).toBe(0);
  },
);

test('a module that takes nothing any more is given up after two seconds', () => {
  const { clock, module, outlet, observed } = rig(Number.POSITIVE_INFINITY);
  const began = clock.nowMicros();
  lastSilence(observed, outlet, clock);
  expect(clock.nowMicros() - began).toBeGreaterThanOrEqual(2_000_000);
  expect(clock.nowMicros() - began).toBeLessThan(2_200_000);
  expect(module.reader.sounding).toBeGreaterThan(0);
});
