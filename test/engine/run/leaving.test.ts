import { expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { PortTrouble } from '../../../src/core/observe/port-state.ts';
import { openVirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { WRITE_FULL, type WriteOutcome } from '../../../src/ports/output-port.ts';
import { WireReader } from '../../support/wire-reader.ts';
import { planOfRows, type Row } from '../fixtures/plan-of-rows.ts';

const S = 1_000_000;

/** A module behind a driver that takes nothing while it is told to, and passes on what it took when it is told to. */
class SlowDriver extends MockPort {
  readonly module = new WireReader();
  takes = true;
  passesOn = true;

  constructor() {
    super({ record: true });
  }

  override write(bytes: Uint8Array, start: number, length: number, at: Float64Array): WriteOutcome {
    if (!this.takes) return WRITE_FULL;
    this.module.read(bytes.slice(start, start + length));
    return super.write(bytes, start, length, at);
  }

  override flush(): boolean {
    return this.passesOn;
  }
}

async function playing(rows: readonly Row[], durationMicros = rows.at(-1)![0]) {
  const port = new SlowDriver();
  const player = await openVirtualPlayer({ plan: planOfRows(rows), durationMicros, outputs: [] }, [{ port }]);
  /** From wake to wake until the run is over; how many they were. */
  const toEnd = (meanwhile: (micros: number) => void = () => {}): number => {
    let wakes = 0;
    for (let next = player.nextMicros(); player.advanceTo(next); next = player.nextMicros()) {
      expect(next).toBeLessThan(Number.POSITIVE_INFINITY);
      wakes += 1;
      meanwhile(player.nowMicros());
    }
    return wakes;
  };
  const wireEnd = () => port.recorded().micros.at(-1)! + 320;
  return { player, port, toEnd, wireEnd };
}

const CHORD: Row[] = [60, 64, 67].map((key): Row => [0, 0x90, key, 90]);

test('a song has ended when its last byte is off the wire, not before and no wake later', async () => {
  const { player, port, toEnd, wireEnd } = await playing([
    ...CHORD,
    [S, 0x80, 60, 64],
    [S, 0x80, 64, 64],
    [S, 0x80, 67, 64],
  ]);
  const wakes = toEnd();
  expect(port.module.sounding).toBe(0);
  expect(player.nowMicros()).toBeGreaterThanOrEqual(wireEnd());
  expect(player.nowMicros()).toBeLessThan(wireEnd() + 1000);
  expect(wakes).toBeLessThan(20);
  expect(player.observed.numbers[Slot.ended]).toBe(1);
});

test('far more than the wire carries in three seconds is seen to its end', async () => {
  const flood = Array.from({ length: 2500 }, (_, n): Row => [0, 0x90 | (n & 7), n & 127, 90]);
  const offs = flood.map(([, status, key]): Row => [0, status! & 0x8f, key!, 64]);
  const { player, port, toEnd, wireEnd } = await playing([...flood, ...offs]);
  toEnd();
  expect(wireEnd()).toBeGreaterThan(4 * S);
  expect(port.module.sounding).toBe(0);
  expect(port.module.noteOns.length).toBe(2500);
  expect(player.nowMicros()).toBeLessThan(wireEnd() + 1000);
});

test('what a driver still holds is waited for', async () => {
  const { player, port, toEnd } = await playing([...CHORD, [S, 0x80, 60, 64]]);
  port.passesOn = false;
  toEnd((micros) => {
    port.passesOn = micros >= 2 * S;
  });
  expect(player.nowMicros()).toBeGreaterThanOrEqual(2 * S);
  expect(player.nowMicros()).toBeLessThan(2.01 * S);
  expect(port.module.sounding).toBe(0);
  expect(player.observed.numbers[Slot.portTrouble]).toBe(PortTrouble.none);
});

test('one that takes nothing is given up three seconds after somebody leaves, and told of', async () => {
  const { player, port } = await playing([...CHORD, [9 * S, 0x80, 60, 64]]);
  player.advanceTo(0.5 * S);
  port.takes = false;
  await player.close();
  expect(player.nowMicros()).toBeGreaterThanOrEqual(3.5 * S);
  expect(player.nowMicros()).toBeLessThan(3.6 * S);
  expect(player.observed.numbers[Slot.portTrouble]).toBe(PortTrouble.heldUp);
  expect(player.observed.numbers[Slot.ended]).toBe(1);
});

test.each([
  ['is sent to the last', true, 4.4, 4.6],
  [
    'that a driver does not take is waited for as long as it would be on the wire, and a second',
    false,
    7.7,
    7.8,
  ],
])('a note-off for each of 7000 strikes %s', async (_, takes, least, most) => {
  const strikes = Array.from({ length: 7000 }, (_, n): Row => [n * 960, 0x90 | (n & 7), 60, 90]);
  const { player, port } = await playing([...strikes, [90 * S, 0x80, 0, 0]]);
  player.advanceTo(8 * S);
  expect(port.module.sounding).toBe(7000);
  port.takes = takes;
  await player.close();
  expect(player.nowMicros()).toBeGreaterThan((8 + least) * S);
  expect(player.nowMicros()).toBeLessThan((8 + most) * S);
  expect(port.module.sounding).toBe(takes ? 0 : 7000);
});

test('a song begun anew while its end was still waited for has all its time again', async () => {
  const { player, port, toEnd } = await playing([...CHORD, [S, 0x80, 60, 64]]);
  port.passesOn = false;
  player.advanceTo(3.5 * S);
  player.send({ kind: 'play' });
  toEnd((micros) => {
    port.passesOn = micros >= 8 * S;
  });
  expect(port.module.noteOns.length).toBe(6);
  expect(player.nowMicros()).toBeGreaterThanOrEqual(8 * S);
  expect(player.nowMicros()).toBeLessThan(8.1 * S);
  expect(port.module.sounding).toBe(0);
});

test('what the song left sounding is silenced by what was seen, once, before the end', async () => {
  const { player, port, toEnd } = await playing([...CHORD, [0, 0xb1, 64, 127], [0, 0xe2, 0, 0]], S);
  const beganAt = player.nowMicros();
  toEnd();
  expect(beganAt).toBeLessThan(S);
  expect([port.module.sounding, port.module.unrestful]).toEqual([0, []]);
  const offs = port.module.messages.filter(([status]) => (status! & 0xf0) === 0x80);
  expect(offs.length).toBe(3);
});

test('who leaves in the middle hears nothing more of the song', async () => {
  const { player, port } = await playing([...CHORD, [S, 0x90, 72, 90], [2 * S, 0x80, 72, 64]]);
  player.advanceTo(0.5 * S);
  await player.close();
  expect(await player.ended).toEqual({ kind: 'quit' });
  expect(player.nowMicros()).toBeLessThan(0.6 * S);
  expect(port.module.noteOns.map(({ key }) => key)).toEqual([60, 64, 67]);
  expect([port.module.sounding, port.module.unrestful]).toEqual([0, []]);
});
