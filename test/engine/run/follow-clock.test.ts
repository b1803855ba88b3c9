import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { LostClock } from '../../../src/core/follow/follow-state.ts';
import { followedClock } from '../../../src/core/observe/followed-clock.ts';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { songPosition, transportState } from '../../../src/core/observe/song-position.ts';
import { VisitorInput } from '../../../src/core/schedule/visitor.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { Fed } from '../../../src/engine/input/input-feed.ts';
import { InputRing } from '../../../src/engine/input/input-ring.ts';
import { MessageStamper } from '../../../src/engine/input/message-stamper.ts';
import { ScriptedInput } from '../../../src/engine/input/scripted-input.ts';
import type { PlayerOptions } from '../../../src/engine/run/player-options.ts';
import { openVirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
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
  const feed = new ScriptedInput();
  for (const [micros, ...bytes] of messages) feed.add(micros, Uint8Array.from(bytes));
  feed.tell(messages.at(-1)?.[0] ?? 0, Fed.ended);
  const follow = { pulseMicros: PULSES, onLost };
  const options = { plan: planOfRows(ROWS), durationMicros: 60 * S, outputs: [], follow, ...more };
  const ears = [{ feed, clock: true, visitor: more.playAlong !== undefined }];
  const player = await openVirtualPlayer(options, [{ port: instrument }], ears);
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
    const { bytes } = instrument;
    for (const command of [
      { kind: 'seek', micros: 40 * S },
      { kind: 'loop', fromMicros: 0, toMicros: S },
      { kind: 'loop-off' },
      { kind: 'tempo-scale', scale: 2 },
    ] as const) {
      player.send(command);
    }
    player.advanceTo(1.8 * S + 1);
    expect(instrument.bytes).toBe(bytes); // the note that sounds is not taken back, and nothing is told anew
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
        const sink = new MessageStamper({ wire: MIDI_WIRE, paced: true }, (bytes, length, micros) => {
          const [status = 0, data1 = 0, data2 = 0] = bytes.slice(0, length);
          messages.push([micros, status, data1, data2]);
        });
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

describe('one machine that sends its clock and is played on', () => {
  const ALONG: Partial<PlayerOptions> = { playAlong: { from: '', channel: 4 } };
  /** Two seconds of music, a chord with pedal held from the first on. */
  const PLAYED: Message[] = [
    [0, 0xfa],
    ...clocks(10, 48 * 4).flatMap((clock, n): Message[] =>
      n === 48
        ? [clock, [clock[0] + 1, 0xb3, 64, 127], [clock[0] + 2, 0x93, 40, 90], [clock[0] + 3, 0x93, 44, 90]]
        : [clock],
    ),
  ];

  test('moves the song and is heard beside it, and the clock is no visitor', async () => {
    const { player, instrument, seen } = await following(PLAYED, 'continue', ALONG);
    player.advanceTo(1.9 * S);
    expect(seen()).toMatchObject({ state: 'follows' });
    expect(Math.abs(songPosition(player.observed, player.nowMicros()) - 1.9 * S)).toBeLessThan(2000);
    expect([player.observed.sounding[0], player.observed.sounding[4]]).toEqual([1, 2]);
    await player.close();
    expectSilent(instrument);
  });

  test.each<[string, Message | 'lost' | 'ended']>([
    ['Stop', [2 * S, 0xfc]],
    ['Reset', [2 * S, 0xff]],
    ['its device gone', 'lost'],
    ['its record over', 'ended'],
  ])('lets go on %s', async (_what, last) => {
    const before = PLAYED.filter(([micros]) => micros < 2 * S);
    const feed = new ScriptedInput();
    const instrument = new Instrument();
    for (const [micros, ...bytes] of Array.isArray(last) ? [...before, last as Message] : before) {
      feed.add(micros, Uint8Array.from(bytes));
    }
    if (!Array.isArray(last)) feed.tell(2 * S, Fed[last as 'lost' | 'ended']);
    const options = { plan: planOfRows(ROWS), durationMicros: 60 * S, outputs: [], ...ALONG };
    const player = await openVirtualPlayer(
      { ...options, follow: { pulseMicros: PULSES, onLost: 'pause' } },
      [{ port: instrument }],
      [{ feed, clock: true, visitor: true }],
    );
    player.advanceTo(1.9 * S);
    expect(player.observed.sounding[4]).toBe(2);
    player.advanceTo(2.5 * S);
    expectSilent(instrument);
    await player.close();
    expectSilent(instrument);
  });

  test('from two inputs it is the same', async () => {
    const clock = new ScriptedInput();
    const keyboard = new ScriptedInput();
    for (const [micros, ...bytes] of PLAYED) {
      (bytes[0] >= 0xf0 ? clock : keyboard).add(micros, Uint8Array.from(bytes));
    }
    const instrument = new Instrument();
    const player = await openVirtualPlayer(
      {
        plan: planOfRows(ROWS),
        durationMicros: 60 * S,
        outputs: [],
        follow: { pulseMicros: PULSES, onLost: 'continue' },
        ...ALONG,
      },
      [{ port: instrument }],
      [
        { feed: clock, clock: true, visitor: false },
        { feed: keyboard, clock: false, visitor: true },
      ],
    );
    keyboard.add(2.2 * S, Uint8Array.of(0xfc, 0xfa, 0xff));
    player.advanceTo(2.4 * S);
    expect([player.observed.sounding[0], player.observed.sounding[4]]).toEqual([1, 2]);
    await player.close();
    expectSilent(instrument);
  });

  test('stays open between two songs: what was set counts in the next, what was struck is over', async () => {
    const ring = new InputRing();
    const say = (micros: number, ...bytes: number[]) =>
      ring.putBytes(Uint8Array.from(bytes), bytes.length, micros);
    ring.put(Fed.back, 0);
    const song = async (originMicros: number) => {
      const instrument = new Instrument();
      const feed = new InputRing(ring.buffer);
      feed.begin(originMicros);
      const options = { plan: planOfRows(ROWS.slice(0, 2)), durationMicros: S, outputs: [], ...ALONG };
      const player = await openVirtualPlayer(
        options,
        [{ port: instrument }],
        [{ feed, clock: false, visitor: true }],
      );
      return { player, instrument };
    };
    const first = await song(0);
    say(0.1 * S, 0x93, 40, 90);
    first.player.advanceTo(0.2 * S);
    expect(first.player.observed.sounding[4]).toBe(1);
    first.player.advanceTo(9 * S);
    expectSilent(first.instrument);
    say(11 * S, 0x83, 40, 0);
    say(12 * S, 0x93, 50, 90);
    say(13 * S, 0xc3, 7);
    const second = await song(20 * S);
    second.player.advanceTo(0.1 * S);
    expect(second.player.observed.numbers[Slot.visitorInput]).toBe(VisitorInput.there);
    expect(second.player.observed.sounding[4]).toBe(0);
    expect(second.instrument.reader.said.get('4:program')).toBe(7);
    expect(second.player.observed.numbers[Slot.visitorWorstMicros]).toBeLessThan(5000);
    say(20.2 * S, 0x93, 52, 90);
    second.player.advanceTo(0.3 * S);
    expect(second.player.observed.sounding[4]).toBe(1);
    second.player.advanceTo(9 * S);
    expectSilent(second.instrument);
  });
});
