import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { LostClock } from '../../../src/core/follow/follow-state.ts';
import { followedClock } from '../../../src/core/observe/followed-clock.ts';
import { songPosition, transportState } from '../../../src/core/observe/song-position.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import type { PlayerOptions } from '../../../src/engine/run/player-options.ts';
import { openVirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { ClockSink } from '../../../src/follow/clock-sink.ts';
import { type OutputPort, WRITE_DONE, WRITE_LOST } from '../../../src/ports/output-port.ts';
import { WireReader } from '../../support/wire-reader.ts';
import { planOfRows, type Row } from '../fixtures/plan-of-rows.ts';

const S = 1_000_000;
const PERIOD = 500_000 / 24;
/** A minute at 120: a note on each quarter, each held until the next. */
const ROWS: Row[] = Array.from({ length: 120 }, (_, n): Row[] => [
  [n * 0.5 * S, 0x90, 60, 100],
  [(n + 0.96) * 0.5 * S, 0x80, 60, 64],
]).flat();
const PULSES = Float64Array.from({ length: 24 * 120 + 1 }, (_, n) => n * PERIOD);

/** An instrument that can be unplugged, judged by a reader of the wire. */
class Instrument implements OutputPort {
  readonly name = 'instrument';
  readonly wire = MIDI_WIRE;
  readonly reader = new WireReader();
  bytes = 0;
  isIn = true;

  write(bytes: Uint8Array, start: number, length: number): typeof WRITE_DONE | typeof WRITE_LOST {
    if (!this.isIn) return WRITE_LOST;
    this.reader.read(bytes.slice(start, start + length));
    this.bytes += length;
    return WRITE_DONE;
  }

  gone(): boolean {
    return !this.isIn;
  }

  flush(): boolean {
    return true;
  }

  revive(): boolean {
    return this.isIn;
  }

  close(): void {}
}

type Message = readonly [micros: number, status: number, data1?: number, data2?: number];

const clocks = (from: number, count: number, period = PERIOD): Message[] =>
  Array.from({ length: count }, (_, n) => [from + n * period, 0xf8]);

async function following(
  messages: readonly Message[],
  onLost: LostClock = 'continue',
  more: Partial<PlayerOptions> = {},
) {
  const instrument = new Instrument();
  const log = {
    micros: Float64Array.from(messages, ([micros]) => micros),
    messages: Uint32Array.from(messages, ([, status, a = 0, b = 0]) => status | (a << 8) | (b << 16)),
  };
  const follow = { pulseMicros: PULSES, onLost, log };
  const options = { plan: planOfRows(ROWS), durationMicros: 60 * S, outputs: [], follow, ...more };
  const player = await openVirtualPlayer(options, [{ port: instrument }]);
  return { player, instrument, seen: () => followedClock(player.observed, player.nowMicros()) };
}

/** Nothing sounds, no pedal is down, and nothing came that a receiver trips over. */
function expectSilent({ reader }: Instrument): void {
  expect(reader.sounding).toBe(0);
  expect(reader.unrestful).toEqual([]);
  expect(reader.faults).toEqual([]);
}

describe('a run that follows a clock', () => {
  test('waits, plays and stops as it is told, and shows state and tempo', async () => {
    const { player, instrument, seen } = await following([
      ...clocks(0, 24),
      [0.6 * S, 0xfa],
      ...clocks(0.61 * S, 49, PERIOD * 0.8),
      [1.5 * S, 0xfc],
      [30 * S, 0xfe],
    ]);
    player.advanceTo(0.5 * S);
    expect(seen()).toMatchObject({ state: 'waits', isOut: false, input: 'there' });
    expect(seen()!.tempo).toBeCloseTo(120, 5);
    expect(instrument.reader.noteOns).toHaveLength(0);
    player.advanceTo(0.605 * S);
    expect(seen()!.state).toBe('armed');
    player.advanceTo(1.42 * S);
    expect(seen()!.state).toBe('follows');
    expect(seen()!.tempo).toBeCloseTo(150, 0);
    expect(instrument.reader.noteOns).toHaveLength(3);
    player.advanceTo(1.6 * S);
    expect(seen()!.state).toBe('waits');
    expect(transportState(player.observed)).toBe('paused');
    expectSilent(instrument);
  });

  test('a clock that ends while the song stands ends the run; one that ends while it is held does not', async () => {
    const stands = await following([[0, 0xfa], ...clocks(S, 30), [1.65 * S, 0xfc]]);
    stands.player.advanceTo(10 * S);
    expect(await stands.player.ended).toEqual({ kind: 'ended' });
    expect(stands.instrument.reader.noteOns).toHaveLength(2);
    expectSilent(stands.instrument);
    const armed = await following([[0, 0xfa]]);
    armed.player.advanceTo(10 * S);
    expect(await armed.player.ended).toEqual({ kind: 'ended' });
    const held = await following([[0, 0xfa], ...clocks(S, 30)]);
    held.player.advanceTo(100 * S);
    expect(await held.player.ended).toEqual({ kind: 'ended' });
    expect(held.instrument.reader.noteOns).toHaveLength(120);
    expectSilent(held.instrument);
    const paused = await following([[0, 0xfa], ...clocks(S, 30)], 'pause');
    paused.player.advanceTo(100 * S);
    expect(await paused.player.ended).toEqual({ kind: 'ended' });
    expect(paused.instrument.reader.noteOns).toHaveLength(2);
    expectSilent(paused.instrument);
  });

  test('leaving in the middle is silent', async () => {
    const { player, instrument } = await following([[0, 0xfa], ...clocks(S, 100)]);
    player.advanceTo(1.8 * S);
    expect(instrument.reader.sounding).toBe(1);
    await player.close();
    expectSilent(instrument);
  });

  test('what would fight the clock is not obeyed; pause lets it go on alone, play joins it', async () => {
    const { player, instrument, seen } = await following([[0, 0xfa], ...clocks(S, 500)]);
    player.advanceTo(1.8 * S);
    for (const command of [
      { kind: 'seek', micros: 40 * S },
      { kind: 'loop', fromMicros: 0, toMicros: S },
      { kind: 'tempo-scale', scale: 2 },
    ] as const) {
      player.send(command);
    }
    player.advanceTo(3.2 * S);
    expect(songPosition(player.observed, player.nowMicros())).toBeCloseTo(2.2 * S, -3);
    player.send({ kind: 'pause' });
    player.advanceTo(6.2 * S);
    expectSilent(instrument);
    expect(seen()).toMatchObject({ state: 'follows', isOut: true });
    const before = instrument.reader.noteOns.length;
    player.send({ kind: 'play' });
    player.advanceTo(7.2 * S);
    expect(seen()!.isOut).toBe(false);
    expect(songPosition(player.observed, player.nowMicros())).toBeCloseTo(6.2 * S, -3);
    expect(instrument.reader.noteOns.length - before).toBe(2);
  });

  test('an instrument that is unplugged and comes back joins the clock where it is', async () => {
    const { player, instrument } = await following([[0, 0xfa], ...clocks(S, 500)], 'continue', {
      whenPortLost: 'pause',
    });
    player.advanceTo(1.8 * S);
    instrument.isIn = false;
    player.advanceTo(3 * S);
    expect(transportState(player.observed)).toBe('paused');
    player.send({ kind: 'play' });
    instrument.isIn = true;
    player.advanceTo(6.1 * S);
    expect(songPosition(player.observed, player.nowMicros())).toBeCloseTo(5.1 * S, -3);
    await player.close();
  });

  test('the clock is passed on, smoothed, where that is asked for too', async () => {
    const shaken = clocks(S, 97).map(
      ([micros, status], n): Message => [micros + (n % 2 === 0 ? 900 : -900), status],
    );
    const { player, instrument } = await following(
      [[0, 0xfa], ...shaken, [3.005 * S, 0xfc], [9 * S, 0xfe]],
      'continue',
      {
        syncOut: true,
        clockMicros: PULSES,
      },
    );
    player.advanceTo(5 * S);
    const realTime = instrument.reader.messages
      .filter(([status]) => status! >= 0xf8)
      .map(([status]) => status);
    expect(realTime[0]).toBe(0xfa);
    expect(realTime.at(-1)).toBe(0xfc);
    expect(Math.abs(realTime.filter((status) => status === 0xf8).length - 97)).toBeLessThan(3);
    await player.close();
  });

  test('pairs of Start and clock as fast as a wire can carry them keep nothing waiting', async () => {
    const flood = Array.from({ length: 3000 }, (_, n): Message => [S + n * 320, n % 2 === 0 ? 0xfa : 0xf8]);
    const { player, instrument } = await following([...flood, [S + 3000 * 320, 0xfc], [9 * S, 0xfe]]);
    player.advanceTo(2.2 * S);
    expectSilent(instrument);
    await player.close();
  });

  test('whatever bytes come as a clock, the run ends, and silent', async () => {
    const byte = fc.oneof(
      { weight: 8, arbitrary: fc.constantFrom(0xf8, 0xfa, 0xfb, 0xfc, 0xf2, 0xff) },
      { weight: 4, arbitrary: fc.integer({ min: 0, max: 255 }) },
    );
    const chunk = fc.tuple(fc.integer({ min: 0, max: 400_000 }), fc.array(byte, { maxLength: 9 }));
    await fc.assert(
      fc.asyncProperty(fc.array(chunk, { maxLength: 40 }), fc.boolean(), async (chunks, holds) => {
        const messages: Message[] = [];
        const sink = new ClockSink(
          { wire: MIDI_WIRE, paced: true },
          (...message) => void messages.push(message),
        );
        let at = S;
        for (const [wait, bytes] of chunks) {
          at += wait + bytes.length * 320;
          sink.bytes(Uint8Array.from(bytes), at);
        }
        const { player, instrument } = await following(messages, holds ? 'continue' : 'pause');
        // The slowest clock that is none needs a quarter of an hour for this song.
        expect(player.advanceTo(at + 2000 * S)).toBe(false);
        await player.ended;
        expectSilent(instrument);
      }),
      { numRuns: 40 },
    );
  });
});
