import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { foldMessage } from '../../../src/core/observe/fold-message.ts';
import { PortSlot, PortTrouble } from '../../../src/core/observe/port-state.ts';
import { EarlierRuns, leftBehind } from '../../../src/engine/run/left-behind.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { WRITE_LOST } from '../../../src/ports/output-port.ts';
import { WireReader } from '../../support/wire-reader.ts';
import { outletRig } from '../fixtures/outlet-rig.ts';

/** What was seen of a run: messages, and which of its ports were gone at its end. */
function seen(messages: readonly (readonly [number, number, number])[], gone: readonly number[] = []) {
  const observed = createObservedState();
  for (const message of messages) foldMessage(observed, ...message, new Float64Array(3));
  for (const index of gone) observed.ports[index]!.numbers[PortSlot.trouble] = PortTrouble.lost;
  return observed;
}

const NOTES = [0, 1, 2].map((channel) => [0x90 | channel, 60, 90] as const);
const bits = (...channels: number[]) => channels.reduce((sum, channel) => sum | (1 << channel), 0);

describe('what a run leaves behind', () => {
  test('is what sounds on channels whose port is gone', () => {
    const observed = seen([...NOTES, [0x81, 60, 0], [0xbf, 64, 127]], [0]);
    const of = (channels?: readonly number[]) =>
      leftBehind(observed, [channels === undefined ? {} : { channels }]).map((left) => left.channels);
    expect(of()).toEqual([bits(0, 2, 15)]);
    expect(of([0, 1])).toEqual([bits(0)]);
    expect(of([2, 15])).toEqual([bits(2, 15)]);
    expect(of([1, 7])).toEqual([]);
    expect(leftBehind(observed, [{}])[0]!.observed).toBe(observed.buffer);
  });

  test('is nothing where the ports are there, whatever sounds', () => {
    expect(leftBehind(seen(NOTES), [{}])).toEqual([]);
    expect(leftBehind(seen(NOTES, [1]), [{ channels: [0, 1, 2] }, { channels: [3] }])).toEqual([]);
    const second = leftBehind(seen(NOTES, [1]), [{ channels: [0] }, { channels: [1, 2] }]);
    expect(second.map(({ channels }) => channels)).toEqual([bits(1, 2)]);
  });

  test('and of what it was told of, what it could tell nobody either', () => {
    const before = [{ observed: createObservedState().buffer, channels: bits(0, 3, 4) }];
    const kept = (gone: readonly number[], channels: readonly number[]) =>
      leftBehind(seen([[0xc0, 5, 0]], gone), [{ channels }], before);
    // Channel 1 was reached by this run, 5 has a port that is there.
    expect(kept([0], [0, 1, 2, 3])).toEqual([{ ...before[0], channels: bits(3) }]);
    expect(kept([], [0, 1, 2, 3])).toEqual([]);
  });
});

describe('what earlier runs left', () => {
  class Cable extends MockPort {
    isIn = true;
    readonly module = new WireReader();
    override write(bytes: Uint8Array, start: number, length: number) {
      if (!this.isIn) return WRITE_LOST;
      this.module.read(bytes.slice(start, start + length));
      return 0;
    }
    revive(): boolean {
      return this.isIn;
    }
  }
  const left = () => new EarlierRuns([{ observed: seen(NOTES).buffer, channels: bits(0, 1) }]);
  const offs = (port: Cable) =>
    port.module.messages.filter(([status]) => (status! & 0xf0) === 0x80).map(([status]) => status! & 15);

  test('is brought to rest once, as the channels are reached, and nothing that was not meant', () => {
    const port = new Cable();
    const { outlet, pass } = outletRig([{ port }]);
    const earlier = left();
    earlier.settle(outlet, bits(1, 2), 0);
    pass(1_000_000);
    expect(offs(port)).toEqual([1]);
    earlier.settle(outlet, 0xffff, 1_000_000);
    earlier.settle(outlet, 0xffff, 1_000_000);
    pass(2_000_000);
    expect(offs(port)).toEqual([1, 0]);
  });

  test('is kept for a port that proves to be gone', () => {
    const port = new Cable();
    port.isIn = false;
    const { outlet, pass } = outletRig([{ port }]);
    const earlier = left();
    earlier.settle(outlet, 0xffff, 0);
    expect(outlet.lostChannels()).toBe(0xffff);
    port.isIn = true;
    expect(outlet.revive()).toBe(0xffff);
    earlier.settle(outlet, 0xffff, 0);
    pass(1_000_000);
    expect(offs(port)).toEqual([0, 1]);
  });
});
