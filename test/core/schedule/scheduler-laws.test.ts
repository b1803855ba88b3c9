import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import type { Command } from '../../../src/core/schedule/command.ts';
import { Transport } from '../../../src/core/schedule/transport-board.ts';
import { differences } from '../../support/channel-rest.ts';
import { planOf, type TimedBytes, timelineOf } from '../../support/timeline-of.ts';
import { VirtualRun } from '../../support/virtual-run.ts';
import { WireReader } from '../../support/wire-reader.ts';

const GRID = 10_000;
const END = 2_000_000;

/** Notes that overlap, repeat, never end or never began, and state, on two channels and the drums. */
const message = fc.oneof(
  {
    weight: 6,
    arbitrary: fc.tuple(
      fc.constantFrom(0x90, 0x91, 0x99),
      fc.integer({ min: 60, max: 63 }),
      fc.integer({ min: 0, max: 3 }),
    ),
  },
  {
    weight: 4,
    arbitrary: fc.tuple(fc.constantFrom(0x80, 0x81, 0x89), fc.integer({ min: 60, max: 63 }), fc.constant(64)),
  },
  {
    weight: 2,
    arbitrary: fc.tuple(
      fc.constantFrom(0xb0, 0xb1),
      fc.constantFrom(7, 64, 1, 66),
      fc.constantFrom(0, 40, 90, 127),
    ),
  },
  {
    weight: 1,
    arbitrary: fc.tuple(fc.constantFrom(0xe0, 0xe1), fc.constant(0), fc.integer({ min: 60, max: 66 })),
  },
  { weight: 1, arbitrary: fc.tuple(fc.constantFrom(0xc0, 0xc1), fc.integer({ min: 0, max: 9 })) },
) as fc.Arbitrary<number[]>;

const songs = fc
  .array(fc.tuple(fc.integer({ min: 1, max: 190 }), message), { minLength: 1, maxLength: 80 })
  .map((rows) =>
    rows.map(([step, bytes]): TimedBytes => [step * GRID, ...bytes]).sort((a, b) => a[0] - b[0]),
  );

const channel = fc.constantFrom(0, 1, 9);
const place = fc.integer({ min: 0, max: 199 }).map((step) => step * GRID + 5_000);
const commands: fc.Arbitrary<Command> = fc.oneof(
  fc.constantFrom<Command>(
    { kind: 'play' },
    { kind: 'play' },
    { kind: 'pause' },
    { kind: 'stop' },
    { kind: 'loop-off' },
    { kind: 'silence-all' },
  ),
  place.map((micros): Command => ({ kind: 'seek', micros })),
  fc.tuple(place, fc.integer({ min: 12, max: 60 })).map(
    ([from, length]): Command => ({
      kind: 'loop',
      fromMicros: Math.min(from, END - 125_000), // longer than a step of the test
      toMicros: Math.min(from + length * GRID, END),
    }),
  ),
  fc.constantFrom(0.25, 0.5, 1, 2, 4).map((scale): Command => ({ kind: 'tempo-scale', scale })),
  fc.integer({ min: -24, max: 24 }).map((semitones): Command => ({ kind: 'transpose', semitones })),
  fc
    .tuple(fc.constantFrom('mute' as const, 'solo' as const), channel, fc.boolean())
    .map(([kind, ch, on]): Command => ({ kind, channel: ch, on })),
  fc
    .tuple(channel, fc.integer({ min: -3, max: 3 }))
    .map(([ch, semitones]): Command => ({ kind: 'channel-transpose', channel: ch, semitones })),
  fc
    .tuple(channel, fc.constantFrom(undefined, 40))
    .map(([ch, program]): Command => ({ kind: 'program-override', channel: ch, program })),
  channel.map((ch): Command => ({ kind: 'silence-channel', channel: ch })),
  fc
    .tuple(channel, fc.integer({ min: 60, max: 63 }))
    .map(([ch, key]): Command => ({ kind: 'silence-note', channel: ch, key })),
);
/** Commands with the time (ms) that passes before each. */
const scripts = fc.array(fc.tuple(fc.integer({ min: 0, max: 400 }), commands), { maxLength: 25 });

/**
 * What should be sounding, told with lists and loops alone: no plan, no cursor, no epochs. It takes the song
 * position from the program and nothing else.
 */
class Model {
  #position = 0;
  /** What stands exactly at the position is still to come. */
  #fresh = true;
  #open: { channel: number; songKey: number; sentKey: number; from: number }[] = [];
  #muted = new Set<number>();
  #soloed = new Set<number>();
  #transpose = 0;
  #own = new Map<number, number>();
  #loop: { from: number; to: number } | undefined;

  readonly #song: readonly TimedBytes[];

  constructor(song: readonly TimedBytes[]) {
    this.#song = song;
  }

  get sounding(): string[] {
    return this.#open.map((note) => `${note.channel}:${note.sentKey}`).sort();
  }

  /** The song went on to this position, over the loop's end if it is smaller than before. */
  goOnTo(position: number): void {
    if (position < this.#position && this.#loop !== undefined) {
      this.#play(this.#position, this.#loop.to, false);
      this.jumpTo(this.#loop.from);
    }
    this.#play(this.#position, position, true);
    this.#position = position;
    this.#fresh = false;
  }

  jumpTo(position: number): void {
    this.#open = [];
    this.#position = position;
    this.#fresh = true;
  }

  obey(command: Command): void {
    switch (command.kind) {
      case 'loop':
        this.#loop = { from: command.fromMicros, to: command.toMicros };
        break;
      case 'loop-off':
        this.#loop = undefined;
        break;
      case 'transpose':
        this.#transpose = command.semitones;
        break;
      case 'channel-transpose':
        this.#own.set(command.channel, command.semitones);
        break;
      case 'mute':
      case 'solo': {
        const set = command.kind === 'mute' ? this.#muted : this.#soloed;
        if (command.on) set.add(command.channel);
        else set.delete(command.channel);
        this.#open = this.#open.filter((note) => this.#heard(note.channel));
        break;
      }
      case 'silence-all':
        this.#open = [];
        break;
      case 'silence-channel':
        this.#open = this.#open.filter((note) => note.channel !== command.channel);
        break;
      case 'silence-note':
        this.#open = this.#open.filter(
          (note) => note.channel !== command.channel || note.sentKey !== command.key,
        );
        break;
    }
  }

  #heard(channel: number): boolean {
    return !this.#muted.has(channel) && (this.#soloed.size === 0 || this.#soloed.has(channel));
  }

  #play(from: number, to: number, inclusive: boolean): void {
    for (const [row, [micros, status = 0, key = 0, velocity = 0]] of this.#song.entries()) {
      if (micros < from || micros > to || (micros === to && !inclusive)) continue;
      if (micros === from && !this.#fresh) continue;
      const channel = status & 15;
      const kind = status & 0xf0;
      if (kind === 0x90 && velocity > 0) {
        if (!this.#heard(channel)) continue;
        const shift = (channel === 9 ? 0 : this.#transpose) + (this.#own.get(channel) ?? 0);
        this.#open.push({ channel, songKey: key, sentKey: key + shift, from: row });
      } else if (kind === 0x90 || kind === 0x80) {
        const struck = this.#struckBy(row);
        this.#open = this.#open.filter((note) => note.from !== struck);
      }
    }
  }

  /** Row of the note-on that the note-off in this row ends: the first of its key still waiting (p. A-4). */
  #struckBy(off: number): number {
    const waiting: number[] = [];
    const [, offStatus = 0, offKey = 0] = this.#song[off]!;
    for (const [row, [, status = 0, key = 0, velocity = 0]] of this.#song.entries()) {
      if ((status & 15) !== (offStatus & 15) || key !== offKey) continue;
      const kind = status & 0xf0;
      if (kind === 0x90 && velocity > 0) waiting.push(row);
      else if (kind === 0x90 || kind === 0x80) {
        const struck = waiting.shift();
        if (row === off) return struck ?? -1;
      }
    }
    return -1;
  }
}

const open = (reader: WireReader) =>
  [...reader.open]
    .flatMap(([cell, strikes]) => Array(strikes).fill(`${cell >> 7}:${cell & 127}`) as string[])
    .sort();

function drain(run: VirtualRun, reader: WireReader): void {
  reader.read(run.outlet.sent.splice(0).flatMap(({ bytes }) => bytes));
}

describe('any commands at any times', () => {
  test('what sounds is what a simple model says should', () => {
    fc.assert(
      fc.property(songs, scripts, (song, script) => {
        const run = new VirtualRun(planOf(timelineOf(song)), { durationMicros: END });
        const model = new Model(song);
        const reader = new WireReader();
        const { numbers } = run.observed;
        const position = () => numbers[Slot.positionMicros]!;
        const playing = () => numbers[Slot.transport] === Transport.playing;
        const follow = () => {
          drain(run, reader);
          if (numbers[Slot.transport] === Transport.ended) model.jumpTo(position());
          else if (playing()) model.goOnTo(position());
          expect(open(reader)).toEqual(model.sounding);
        };
        run.to(3_333);
        for (const [wait, command] of script) {
          for (let passed = 0; passed < wait; passed += 20) {
            run.to(run.now + 20_000);
            follow();
          }
          const before = position();
          const state = numbers[Slot.transport];
          run.send(command);
          model.obey(command);
          // Halts and jumps end everything; nothing of the song is due at once, as no place is on the grid.
          const moved =
            ['pause', 'stop', 'seek'].includes(command.kind) ||
            (command.kind === 'loop' && position() !== before);
          if (moved || (command.kind === 'play' && state !== Transport.playing)) model.jumpTo(position());
          follow();
        }
        for (const kind of ['stop', 'quit'] as const) run.send({ kind });
        drain(run, reader);
        expect([reader.sounding, reader.unrestful, reader.faults]).toEqual([0, [], []]);
      }),
      { numRuns: 400 },
    );
  });

  test('while it plays every channel has the state that playing from the start would give', () => {
    fc.assert(
      fc.property(songs, scripts, (song, script) => {
        const run = new VirtualRun(planOf(timelineOf(song)), { durationMicros: END });
        const reader = new WireReader();
        const overridden = new Set<number>();
        const unheard = unheardIn(song);
        for (const [wait, command] of [[0, { kind: 'play' } as Command] as const, ...script]) {
          run.to(run.now + wait * 1000 + 1);
          run.send(command);
          if (command.kind === 'program-override') {
            if (command.program === undefined) overridden.delete(command.channel);
            else overridden.add(command.channel);
          }
          drain(run, reader);
          if (run.observed.numbers[Slot.transport] !== Transport.playing) continue;
          const wanted = new WireReader();
          for (const [micros, ...bytes] of song) {
            if (micros <= run.observed.numbers[Slot.positionMicros]!) wanted.read(bytes);
          }
          const wrong = differences(wanted, reader, unheard).filter((line) => {
            const channelOf = Number(line.split(':')[0]);
            return !(overridden.has(channelOf) && /:(program|bankOfProgram):/.test(line));
          });
          expect(wrong).toEqual([]);
          for (const channelOf of overridden) expect(reader.said.get(`${channelOf}:program`)).toBe(40);
        }
      }),
      { numRuns: 400 },
    );
  });

  test('muted and unmuted = never muted, for all that comes after', () => {
    fc.assert(
      fc.property(
        songs,
        fc.array(fc.tuple(fc.integer({ min: 0, max: 150 }), channel, fc.boolean()), { maxLength: 8 }),
        (song, mutes) => {
          const plain = new VirtualRun(planOf(timelineOf(song)), { durationMicros: END }).send({
            kind: 'play',
          });
          const muted = new VirtualRun(planOf(timelineOf(song)), { durationMicros: END }).send({
            kind: 'play',
          });
          for (const [wait, ch, on] of mutes)
            muted.to(muted.now + wait * 1000 + 1).send({ kind: 'mute', channel: ch, on });
          for (const ch of [0, 1, 9]) muted.send({ kind: 'mute', channel: ch, on: false });
          plain.to(muted.now);
          const [a, b] = [new WireReader(), new WireReader()];
          drain(plain, a);
          drain(muted, b);
          expect([...b.said].sort()).toEqual([...a.said].sort());
          const before = [a.noteOns.length, b.noteOns.length];
          plain.toEnd();
          muted.toEnd();
          drain(plain, a);
          drain(muted, b);
          expect(b.noteOns.slice(before[1])).toEqual(a.noteOns.slice(before[0]));
        },
      ),
    );
  });
});

describe('the notes still to come', () => {
  const noteOns = (run: VirtualRun) =>
    run.sent
      .filter(({ bytes, song }) => (bytes[0]! & 0xf0) === 0x90 && bytes[2]! > 0 && song >= 0)
      .map(({ song, bytes }) => `${song} ${bytes}`);

  /** A plan of any kind: every row up to 30 ms early or late. */
  const plans = songs.chain((song) => {
    const columns = timelineOf(song);
    return fc
      .array(fc.integer({ min: -30, max: 30 }), { minLength: columns.count, maxLength: columns.count })
      .map((shifts) => {
        const releases = new Map<number, number>();
        for (const [row, shift] of shifts.entries()) {
          const isNoteOn = (columns.status[row]! & 0xf0) === 0x90 && columns.data2[row]! > 0;
          const moved = columns.micros[row]! + shift * 1000;
          const on = columns.partner[row]!;
          // A note-off may not pass its own note-on.
          const isOff = !isNoteOn && on < columns.count;
          releases.set(row, isOff ? Math.max(moved, releases.get(on)!) : moved);
        }
        return { song, plan: planOf(columns, releases) };
      });
  });

  const wanted = (song: readonly TimedBytes[], from: number) =>
    song
      .filter(
        ([micros, status = 0, , velocity = 0]) => micros >= from && (status & 0xf0) === 0x90 && velocity > 0,
      )
      .map(([micros, ...bytes]) => `${micros} ${bytes}`);

  test('pauses and tempo scales: each note once', () => {
    const steps = fc.array(
      fc.tuple(
        fc.integer({ min: 1, max: 300 }),
        fc.constantFrom<Command>(
          { kind: 'pause' },
          { kind: 'play' },
          { kind: 'tempo-scale', scale: 0.25 },
          { kind: 'tempo-scale', scale: 1.7 },
          { kind: 'tempo-scale', scale: 4 },
        ),
      ),
      { maxLength: 20 },
    );
    fc.assert(
      fc.property(plans, steps, ({ song, plan }, script) => {
        const run = new VirtualRun(plan, { durationMicros: END }).send({ kind: 'play' });
        for (const [wait, command] of script) run.to(run.now + wait * 1000).send(command);
        run.send({ kind: 'play' }).toEnd();
        // After the end `play` starts over: take what came before.
        const all = wanted(song, 0).sort();
        expect(noteOns(run).slice(0, all.length).sort()).toEqual(all);
      }),
    );
  });

  test('seek to t: exactly those due from t on, in any plan', () => {
    fc.assert(
      fc.property(
        plans,
        fc.array(fc.integer({ min: 0, max: 200 }), { minLength: 1, maxLength: 5 }),
        fc.boolean(),
        ({ song, plan }, places, playing) => {
          const run = new VirtualRun(plan, { durationMicros: END });
          if (playing) run.send({ kind: 'play' });
          let target = 0;
          for (const step of places) {
            target = step * GRID;
            run.to(run.now + 120_001).send({ kind: 'seek', micros: target });
          }
          run.outlet.sent.splice(0);
          run.send({ kind: 'seek', micros: target }).send({ kind: 'play' }).toEnd();
          expect(noteOns(run).sort()).toEqual(wanted(song, target).sort());
          const reader = new WireReader();
          drain(run, reader);
          expect(reader.sounding).toBe(0);
        },
      ),
    );
  });
});

/** Said for the first time before the channel’s first note: nobody hears what was there before. */
function unheardIn(song: readonly TimedBytes[]): (what: string) => boolean {
  const reader = new WireReader();
  const unheard = new Set<string>();
  for (const [, ...bytes] of song) {
    reader.read(bytes);
    for (const what of reader.said.keys()) {
      if (!reader.noteOns.some((note) => note.channel === Number(what.split(':')[0]))) unheard.add(what);
    }
  }
  return (what) => unheard.has(what);
}
