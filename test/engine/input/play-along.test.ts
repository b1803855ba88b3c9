import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import type { Command } from '../../../src/core/schedule/command.ts';
import { type VisitorChannel, VisitorInput } from '../../../src/core/schedule/visitor.ts';
import { Fed } from '../../../src/engine/input/input-feed.ts';
import { ScriptedInput } from '../../../src/engine/input/scripted-input.ts';
import type { PlayerOptions } from '../../../src/engine/run/player-options.ts';
import { openVirtualPlayer, type VirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { WRITE_LOST, type WriteOutcome } from '../../../src/ports/output-port.ts';
import { bytesOf, hexOf } from '../../support/stream-log.ts';
import { WireReader } from '../../support/wire-reader.ts';
import { denseRows, planOfRows, type Row } from '../fixtures/plan-of-rows.ts';

/** A cable that can be pulled, and what came at each plugging in. What was open on it is not again by plugging alone. */
class PluggedPort extends MockPort {
  #isIn = true;
  #isOpen = true;
  readonly modules = [new WireReader()];

  constructor() {
    super({ record: true });
  }

  get isIn(): boolean {
    return this.#isIn;
  }

  set isIn(isIn: boolean) {
    this.#isIn = isIn;
    if (!isIn) this.#isOpen = false;
  }

  override write(bytes: Uint8Array, start: number, length: number, at: Float64Array): WriteOutcome {
    if (!this.#isOpen) return WRITE_LOST;
    this.modules.at(-1)!.read(bytes.slice(start, start + length));
    return super.write(bytes, start, length, at);
  }

  gone(): boolean {
    return !this.#isOpen;
  }

  revive(): boolean {
    this.#isOpen = this.#isIn;
    return this.#isIn;
  }
}

interface Along {
  readonly player: VirtualPlayer;
  readonly port: PluggedPort;
  readonly script: ScriptedInput;
}

async function along(
  rows: readonly Row[],
  channel: VisitorChannel,
  more: Partial<PlayerOptions> = {},
): Promise<Along> {
  const plan = planOfRows(rows);
  const port = new PluggedPort();
  const script = new ScriptedInput();
  const durationMicros = rows.at(-1)?.[0] ?? 0;
  const options = { plan, durationMicros, outputs: [], playAlong: { from: '', channel }, ...more };
  return { player: await openVirtualPlayer(options, [{ port }], earOf(script)), port, script };
}

const earOf = (feed: ScriptedInput) => [{ feed, clock: false, visitor: true }];

const ends = (player: VirtualPlayer) => {
  while (player.nextMicros() < Number.POSITIVE_INFINITY && player.advanceTo(player.nextMicros()));
};

const sent = ({ port }: Along) => port.modules.flatMap(({ messages }) => messages.map((each) => hexOf(each)));

/** A song of two long notes on channel 1, a second each. */
const SONG: readonly Row[] = [
  [0, 0x90, 60, 80],
  [1_000_000, 0x80, 60, 64],
  [1_000_000, 0x90, 62, 80],
  [2_000_000, 0x80, 62, 64],
];

describe('somebody plays along', () => {
  test('whole messages, on the channel they were given, wherever the keyboard sends', async () => {
    const run = await along(SONG, 4);
    for (const [n, byte] of bytesOf('93 40 50 41 50 F8 41 00 40 00').entries())
      run.script.add(300_000 + n * 320, Uint8Array.of(byte));
    ends(run.player);
    const messages = sent(run).filter((message) => /^.4/.test(message) && !message.startsWith('B'));
    expect(messages).toEqual(['94 40 50', '94 41 50', '94 41 00', '94 40 00']);
    expect(run.player.observed.noteOns[4]).toBe(2);
    expect(run.player.observed.numbers[Slot.visitorNotes]).toBe(2);
  });

  test('a full wire makes a note of theirs wait for one message and the lead, never 2 ms', async () => {
    const rows = denseRows(40).flatMap((row) => [row, row, row, row]);
    const moments = fc.uniqueArray(fc.nat(290), { minLength: 1, maxLength: 40 });
    await fc.assert(
      fc.asyncProperty(moments, fc.nat(9000), async (times, off) => {
        const run = await along(rows, 9);
        for (const time of times.toSorted((a, b) => a - b)) {
          run.script.add(time * 10_000 + off, Uint8Array.of(0x90, 60, 90));
          run.script.add(time * 10_000 + off + 4000, Uint8Array.of(0x80, 60, 0));
        }
        ends(run.player);
        const { numbers } = run.player.observed;
        expect(numbers[Slot.visitorWorstMicros]).toBeLessThan(2000);
        expect(numbers[Slot.visitorNotes]).toBe(times.length);
        expect(run.port.modules[0]!.sounding).toBe(0);
        expect(run.port.modules[0]!.faults).toEqual([]);
      }),
      { numRuns: 8 },
    );
  });

  test('nothing of theirs stands inside a SysEx of the song, however long', async () => {
    const body = Array.from({ length: 300 }, (_, n) => n % 100);
    const run = await along([[0, 0xf0, 0x7d, ...body, 0xf7], ...SONG], 4, { allowSysEx: true });
    for (let at = 0; at < 120; at += 5) run.script.add(at * 1000, Uint8Array.of(0x90, at, 90, at, 0));
    ends(run.player);
    expect(run.port.modules[0]!.faults).toEqual([]);
    expect(sent(run)).toContain(hexOf([0xf0, 0x7d, ...body, 0xf7]));
    expect(run.player.observed.numbers[Slot.visitorNotes]).toBe(24);
    expect(run.port.modules[0]!.sounding).toBe(0);
  });

  test('a SysEx of the song that is never ended is given up after a second', async () => {
    const run = await along(
      [
        [0, 0xf0, 0x7d, 1, 2, 3],
        [5_000_000, 0x90, 60, 80],
        [6_000_000, 0x80, 60, 64],
      ],
      4,
      { allowSysEx: true },
    );
    run.script.add(200_000, Uint8Array.of(0x90, 40, 90));
    run.player.advanceTo(1_500_000);
    expect(run.player.observed.sounding[4]).toBe(1);
    ends(run.player);
    expect(run.port.modules[0]!.sounding).toBe(0);
  });

  test.each<[string, string, number, number]>([
    ['clocks, and Active Sensing of theirs', 'F8 FA FE FC F1 03 F3 01 F6 FF', 0, 7],
    ['a maker’s SysEx', 'F0 41 10 42 12 F7', 0, 1],
    ['a reset', 'F0 7E 7F 09 01 F7', 0, 1],
    ['a SysEx that is cut', 'F0 7F 7F 04 01 00 40 90', 0, 1],
    ['local control, omni and mono', 'B0 7A 00 7C 00 7E 01', 0, 3],
    ['master volume passes', 'F0 7F 7F 04 01 00 40 F7', 1, 0],
    ['program and volume pass on a channel of their own', 'C0 05 B0 07 40', 2, 0],
  ])('%s', async (_what, hex, passed, held) => {
    const run = await along(SONG, 4);
    run.script.add(300_000, bytesOf(hex));
    run.player.advanceTo(400_000);
    const { numbers } = run.player.observed;
    expect([numbers[Slot.visitorMessages], numbers[Slot.visitorHeld]]).toEqual([passed, held]);
    ends(run.player);
  });

  test('on a channel that the song plays too, what would change its sound stays out', async () => {
    const run = await along(SONG, 'as-played');
    run.script.add(300_000, bytesOf('C0 05 B0 07 00 B0 01 20 E0 00 50 B0 40 7F'));
    run.player.advanceTo(400_000);
    expect(sent(run).filter((message) => /^[CBE]0/.test(message))).toEqual([
      'B0 01 20',
      'E0 00 50',
      'B0 40 7F',
    ]);
    expect(run.player.observed.numbers[Slot.visitorHeld]).toBe(2);
    ends(run.player);
    expect(run.port.modules[0]!.unrestful).toEqual([]);
  });
});

describe('two on one key', () => {
  const offsOf = (run: Along) => sent(run).filter((message) => message.startsWith('80 3C')).length;

  test.each<[string, number, number]>([
    ['the song lets go first, and the note sounds on', 1_500_000, 1_500_000],
    ['they let go first, and the song’s note sounds on', 600_000, 1_000_000],
  ])('%s', async (_what, theirOff, ended) => {
    const run = await along(SONG, 'as-played');
    run.script.add(500_000, Uint8Array.of(0x90, 60, 90));
    run.script.add(theirOff, Uint8Array.of(0x80, 60, 0));
    run.player.advanceTo(ended - 50_000);
    expect(offsOf(run)).toBe(0);
    run.player.advanceTo(ended + 50_000);
    expect(offsOf(run)).toBe(2);
    ends(run.player);
    expect(run.port.modules[0]!.sounding).toBe(0);
  });

  test('a note-off of theirs for a key that only the song holds goes nowhere', async () => {
    const run = await along(SONG, 'as-played');
    run.script.add(500_000, Uint8Array.of(0x80, 60, 0));
    run.player.advanceTo(900_000);
    expect(offsOf(run)).toBe(0);
    ends(run.player);
  });
});

describe('they let go on every way out', () => {
  const CHORD = Uint8Array.of(0xb0, 64, 127, 0x90, 48, 90, 52, 90, 55, 90, 0xe0, 0, 80);
  const held = async (): Promise<Along> => {
    const run = await along([...SONG, [60_000_000, 0xb0, 7, 100]], 4);
    run.script.add(300_000, CHORD);
    run.player.advanceTo(400_000);
    expect(run.player.observed.sounding[4]).toBe(3);
    return run;
  };

  test.each<[string, Command]>([
    ['stop', { kind: 'stop' }],
    ['pause', { kind: 'pause' }],
    ['seek', { kind: 'seek', micros: 1_200_000 }],
    ['silence', { kind: 'silence-all' }],
    ['mute', { kind: 'mute', channel: 4, on: true }],
    ['solo of another channel', { kind: 'solo', channel: 0, on: true }],
    ['quit', { kind: 'quit' }],
  ])('%s', async (_way, command) => {
    const run = await held();
    run.player.send(command);
    run.player.advanceTo(500_000);
    expect(run.player.observed.sounding[4]).toBe(0);
    expect([...run.port.modules[0]!.open.keys()].filter((cell) => cell >> 7 === 4)).toEqual([]);
    await run.player.close();
    expect(run.port.modules[0]!.unrestful).toEqual([]);
  });

  test.each([
    ['unplugged in mid-chord', Fed.lost, VisitorInput.gone],
    ['its file is over', Fed.ended, VisitorInput.ended],
  ])('the keyboard is gone: %s', async (_what, fed, said) => {
    const run = await held();
    run.script.tell(450_000, fed);
    run.player.advanceTo(500_000);
    expect(run.player.observed.numbers[Slot.visitorInput]).toBe(said);
    expect([...run.port.modules[0]!.open.keys()].filter((cell) => cell >> 7 === 4)).toEqual([]);
    expect(run.port.modules[0]!.unrestful).toEqual([]);
    expect(run.player.observed.sounding[0]).toBe(1); // the song goes on
    await run.player.close();
  });

  test('a note struck behind a pause that still waits for the wire is not ended by it, and is let go through a new cable', async () => {
    const run = await along(SONG, 0);
    run.player.send({ kind: 'pause' });
    run.player.advanceTo(0);
    run.script.add(0, Uint8Array.of(0x90, 58, 1));
    run.player.advanceTo(30_000);
    const messages = sent(run);
    expect(messages.indexOf('90 3A 01')).toBeGreaterThan(messages.lastIndexOf('B0 7B 00'));
    expect(run.player.observed.sounding[0]).toBe(1);
    run.port.isIn = false;
    run.player.advanceTo(40_000);
    run.script.add(40_000, Uint8Array.of(0x80, 58, 64));
    run.port.isIn = true;
    await run.player.close();
    expect(run.port.modules[0]!.sounding).toBe(0);
  });

  test('its Active Sensing runs out', async () => {
    const run = await held();
    run.script.add(500_000, Uint8Array.of(0xfe));
    run.player.advanceTo(820_000);
    expect(run.player.observed.sounding[4]).toBe(3);
    run.player.advanceTo(840_000);
    expect(run.player.observed.sounding[4]).toBe(0);
    await run.player.close();
  });

  test('the loop’s turn does not touch what they hold', async () => {
    const run = await along(SONG, 4, { setup: [{ kind: 'loop', fromMicros: 0, toMicros: 900_000 }] });
    run.script.add(300_000, CHORD);
    run.player.advanceTo(2_000_000);
    expect(run.player.observed.sounding[4]).toBe(3);
    expect(sent(run).filter((message) => message.startsWith('B4 40'))).toEqual(['B4 40 7F']);
    await run.player.close();
    expect(run.port.modules[0]!.sounding).toBe(0);
  });

  test('after a seek the sound they chose is there again, and a port that comes back is told it', async () => {
    const run = await along([...SONG, [60_000_000, 0xb0, 7, 100]], 4);
    run.script.add(100_000, bytesOf('C0 13 B0 07 50'));
    run.player.advanceTo(300_000);
    run.player.send({ kind: 'seek', micros: 0 });
    run.player.advanceTo(900_000);
    expect(run.port.modules[0]!.said.get('4:program')).toBe(0x13);
    expect(run.port.modules[0]!.said.get('4:cc7')).toBe(0x50);
    await run.player.close();
  });
});

/** What a person can do to the run while somebody plays along. */
const anyCommand: fc.Arbitrary<Command> = fc.oneof(
  fc.constantFrom<Command>({ kind: 'pause' }, { kind: 'play' }, { kind: 'stop' }, { kind: 'silence-all' }),
  fc.record({ kind: fc.constant('seek' as const), micros: fc.nat(3_200_000) }),
  fc.record({
    kind: fc.constantFrom('mute' as const, 'solo' as const),
    channel: fc.nat(4),
    on: fc.boolean(),
  }),
  fc.record({
    kind: fc.constant('silence-note' as const),
    channel: fc.nat(3),
    key: fc.integer({ min: 58, max: 62 }),
  }),
);
const anyPlaying = fc.oneof(
  {
    weight: 5,
    arbitrary: fc.tuple(
      fc.constantFrom(0x90, 0x91, 0x80, 0x94),
      fc.integer({ min: 58, max: 62 }),
      fc.nat(90),
    ),
  },
  fc.tuple(fc.constantFrom(0xb0, 0xb1, 0xe0), fc.constantFrom(1, 64, 66, 123), fc.nat(127)),
  fc.array(fc.nat(255), { maxLength: 4 }),
);

test('whatever is played, asked for and pulled out, nothing sounds at the end and no message is broken', async () => {
  const song = denseRows(40).map(
    (row): Row => (row.length === 4 ? [row[0], row[1]!, 58 + (row[2]! % 5), row[3]!] : row),
  );
  const event = fc.oneof(
    { weight: 4, arbitrary: anyPlaying.map((bytes) => ({ bytes })) },
    { weight: 1, arbitrary: anyCommand.map((command) => ({ command })) },
    { weight: 1, arbitrary: fc.constantFrom('cable', 'keyboard').map((pulled) => ({ pulled })) },
  );
  const events = fc.array(fc.tuple(fc.nat(150_000), event), { maxLength: 60 });
  const channel = fc.constantFrom<VisitorChannel>('as-played', 0, 4);
  await fc.assert(
    fc.asyncProperty(events, channel, async (all, place) => {
      const run = await along(song, place);
      let now = 0;
      for (const [wait, what] of all) {
        now += wait;
        run.player.advanceTo(now);
        if ('bytes' in what) run.script.add(now, Uint8Array.from(what.bytes));
        else if ('command' in what) run.player.send(what.command);
        else if (what.pulled === 'keyboard') run.script.tell(now, Fed.lost);
        else {
          run.port.isIn = !run.port.isIn;
          if (run.port.isIn) run.port.modules.push(new WireReader());
        }
      }
      run.port.isIn = true;
      await run.player.close();
      const last = run.port.modules.at(-1)!;
      expect(last.sounding).toBe(0);
      expect(last.unrestful).toEqual([]);
      expect(last.faults).toEqual([]);
    }),
    { numRuns: 60 },
  );
});
