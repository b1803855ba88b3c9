import { execFileSync, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { prepareSong } from '../../src/core/export/prepare-song.ts';
import type { TapeBaud } from '../../src/core/export/tape/tape-format.ts';
import { blocksOfImage } from '../../src/core/export/tape/tape-image.ts';
import { TAPE_SOUND, tapeSamples, tapeSeconds } from '../../src/core/export/tape/tape-sound.ts';
import { readSong } from '../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';
import { dropouts, floats, inverted, replayed, square, wow } from '../core/export/tape/tape-damage.ts';
import { Mos6502Machine } from '../support/mos6502-machine.ts';
import { seeded } from '../support/seeded.ts';
import { TapeLine } from '../support/tape-line.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { Z80Machine } from '../support/z80-machine.ts';

/**
 * The loaders in docs/loaders, assembled by others (Debian z80asm, cc65) and run in emulators that count cycles, with
 * the sound of a tape as the level of an input port.
 */
const has = (tool: string) => spawnSync(tool, ['--version']).error === undefined;
const folder = tempFolder('loader');
const RATE = 44_100;
const SONG_AT = 0x4000;
const [ORIGIN, WORK] = [0x1000, 0x1200];
const WORK_BYTES = 522;

/** What a machine did with a tape. */
interface Loaded {
  /** Memory where the song belongs. */
  readonly song: Uint8Array;
  readonly isStarted: boolean;
  /** Numbers of the blocks that the loader's table has. */
  readonly got: readonly number[];
  /** What was shown, in order: blocks that are missing. */
  readonly shown: readonly number[];
  /** Writes outside of the loader's own memory and the song's. */
  readonly stray: readonly number[];
}

/** Names of a source with other values; the rest of the line stays. */
const withNames = (source: string, sign: RegExp, names: Record<string, number>) =>
  Object.entries(names).reduce(
    (text, [name, value]) => text.replace(new RegExp(`^(${name}${sign.source}\\s*)\\S+`, 'm'), `$1${value}`),
    source,
  );
const LOOPS = { z80: { over: 90, round: 38 }, '6502': { over: 40, round: 14 } } as const;
/** As the sources say. */
const longOf = (cpu: keyof typeof LOOPS, megahertz: number) =>
  Math.round((312.5 * megahertz - LOOPS[cpu].over) / LOOPS[cpu].round);
const unitsOf = (baud: TapeBaud) => 4800 / baud;

function assembled(cpu: keyof typeof LOOPS, baud: TapeBaud, megahertz: number): Uint8Array {
  const at = (name: string) => join(folder, name);
  const names = { UNITS: unitsOf(baud), LONG: longOf(cpu, megahertz) };
  if (cpu === 'z80') {
    const source = readFileSync('docs/loaders/tape-z80.asm', 'latin1');
    writeFileSync(at('x.asm'), withNames(source, /:\s*equ/, names));
    execFileSync('z80asm', ['-o', at('x.bin'), at('x.asm')], { stdio: 'pipe' });
  } else {
    const source = readFileSync('docs/loaders/tape-6502.s', 'latin1');
    writeFileSync(at('x.s'), withNames(source, /\s*=/, names));
    execFileSync('ca65', ['-o', at('x.o'), at('x.s')], { stdio: 'pipe' });
    execFileSync('ld65', ['-t', 'none', '-o', at('x.bin'), at('x.o')], { stdio: 'pipe' });
  }
  return new Uint8Array(readFileSync(at('x.bin')));
}

/** The loop that waits for the level to turn over, as assembled. */
const WAITING = {
  z80: [0x04, 0xdb, 0x11, 0xe6, 0x80, 0xba, 0x28, 0xf8],
  '6502': [0xe8, 0xad, 0x00, 0xa0, 0x29, 0x80, 0xc5, 0x80, 0xf0, 0xf6],
} as const;
const ROUNDS_SHOWN = 2;

/** Steps through the loader; the rounds that wait for a level that does not turn over yet are added up. */
function stepperOf(
  cpu: keyof typeof LOOPS,
  machine: Z80Machine | Mos6502Machine,
  code: Uint8Array,
  line: TapeLine,
  hertz: number,
): () => void {
  const loop = Buffer.from(code).indexOf(Uint8Array.from(WAITING[cpu]));
  expect(loop).toBeGreaterThan(0);
  const { round } = LOOPS[cpu];
  return () => {
    if (machine.pc === ORIGIN + loop) {
      const level = line.level(machine.cycle / hertz) === 1 ? 0x80 : 0;
      const last = machine instanceof Z80Machine ? machine.cpu.regs.d : machine.ram[0x80]!;
      const rounds = Math.floor((line.nextTurn * hertz - machine.cycle) / round) - ROUNDS_SHOWN;
      if (level === last && rounds > 0) machine.countUp(rounds, round);
    }
    machine.step();
  };
}

/** Plays a sound to a machine that runs the loader, until it starts what it loaded or the sound is over. */
function load(
  cpu: keyof typeof LOOPS,
  megahertz: number,
  code: Uint8Array,
  sound: Float32Array,
  size: number,
  isQuick = true,
): Loaded & { readonly cycle: number } {
  const line = new TapeLine(sound, RATE);
  const shown: number[] = [];
  const stray: number[] = [];
  const hertz = megahertz * 1e6;
  const isOurs = (address: number) =>
    (address >= WORK && address < WORK + WORK_BYTES) || (address >= SONG_AT && address < SONG_AT + size);
  const machine = cpu === 'z80' ? new Z80Machine() : new Mos6502Machine();
  machine.ram.set(code, ORIGIN);
  const input = (cycle: number) => (line.level(cycle / hertz) === 1 ? 0xff : 0x7f);
  if (machine instanceof Z80Machine) {
    machine.readPort = (_, cycle) => input(cycle);
    machine.writePort = (_, value) => void shown.push(value);
    machine.wrote = (address) => {
      if (!isOurs(address) && address < 0xff00) stray.push(address);
    };
    machine.call(ORIGIN, 0xffff, 0xfff0);
  } else {
    machine.read = (address, cycle) => (address === 0xa000 ? input(cycle) : undefined);
    machine.wrote = (address, value) => {
      if (address === 0xa001) shown.push(value);
      else if (!isOurs(address) && !(address >= 0x80 && address < 0x8a) && address >> 8 !== 1)
        stray.push(address);
    };
    machine.begin(ORIGIN);
  }
  const lastCycle = line.seconds * hertz;
  const step = isQuick ? stepperOf(cpu, machine, code, line, hertz) : () => machine.step();
  while (machine.pc !== SONG_AT && machine.cycle < lastCycle) step();
  return {
    song: machine.ram.slice(SONG_AT, SONG_AT + size),
    isStarted: machine.pc === SONG_AT,
    got: [...machine.ram.subarray(WORK, WORK + 256).keys()].filter((n) => machine.ram[WORK + n] === 1),
    shown,
    stray,
    cycle: machine.cycle,
  };
}

/** Three blocks behind the head, the last a short one. */
const lengthOf = (baud: TapeBaud) => (baud === 1200 ? 270 : 70);

function tapeOf(baud: TapeBaud, seed: number, length = lengthOf(baud)) {
  const chance = seeded(seed);
  const bytes = Uint8Array.from({ length }, () => Math.floor(chance() * 256));
  const blocks = blocksOfImage({ bytes, loadAddress: SONG_AT, startAddress: SONG_AT }, 'A song', baud);
  const options = { ...TAPE_SOUND, baud, sampleRate: RATE, leaderSeconds: 0.2 };
  return { bytes, blocks, options, sound: floats(tapeSamples(blocks, options)) };
}

const joined = (...sounds: Float32Array[]) => {
  const all = new Float32Array(sounds.reduce((sum, one) => sum + one.length, 0));
  let at = 0;
  for (const one of sounds) {
    all.set(one, at);
    at += one.length;
  }
  return all;
};

/** A sound with nearly nothing left of it in the middle of a block. */
function hitIn(tape: ReturnType<typeof tapeOf>, block: number, lengthSeconds = 0.01): Float32Array {
  const before = tapeSeconds(tape.blocks.slice(0, block), tape.options) - 0.5;
  const after = tapeSeconds(tape.blocks.slice(0, block + 1), tape.options) - 0.5 - 0.05;
  const out = tape.sound.slice();
  const from = Math.round(((before + after) / 2) * RATE);
  for (let at = from; at < from + lengthSeconds * RATE; at += 1) out[at] = out[at]! * 0.02;
  return out;
}

describe.each([
  ['z80', 'z80asm', 1, 1200],
  ['z80', 'z80asm', 4, 1200],
  ['z80', 'z80asm', 2, 300],
  ['6502', 'ca65', 1, 1200],
  ['6502', 'ca65', 1, 300],
] as const)('the %s loader (%s) at %i MHz', (cpu, tool, megahertz, baud) => {
  // Minutes of tape, cycle by cycle: not a matter of how busy the machine is.
  describe.skipIf(!has(tool))(`${baud} baud`, { timeout: 120_000 }, () => {
    const tape = tapeOf(baud, baud);
    const numbers = tape.blocks.map(({ number }) => number);
    let code: Uint8Array;
    beforeAll(() => {
      code = assembled(cpu, baud, megahertz);
    });
    const loaded = (sound: Float32Array) => load(cpu, megahertz, code, sound, tape.bytes.length);

    test('to add up the rounds that wait makes no difference, to the cycle', () => {
      const sound = tape.sound.subarray(0, RATE);
      const [quick, plain] = [true, false].map((isQuick) =>
        load(cpu, megahertz, code, sound, tape.bytes.length, isQuick),
      );
      expect(quick!.got.length).toBeGreaterThan(0);
      expect(quick).toEqual(plain);
    });

    test.each<[string, (samples: Float32Array) => Float32Array]>([
      ['as it was made', (samples) => samples],
      ['with its poles the other way round', inverted],
      ['as a square wave', square],
      ['10 % too slow', (samples) => replayed(samples, RATE, () => 0.9)],
      ['10 % too fast', (samples) => replayed(samples, RATE, () => 1.1)],
      ['with 3 % of wow and 1 % of flutter', (samples) => replayed(samples, RATE, wow(0.03, 0.01))],
    ])('loads every block and starts the song, %s', (_, damage) => {
      const found = loaded(damage(tape.sound));
      expect(found).toMatchObject({ isStarted: true, got: numbers, stray: [] });
      expect([...found.song]).toEqual([...tape.bytes]);
      expect(found.shown).toEqual(numbers.map((number) => numbers.length - 1 - number));
    });

    test('passes over a block that is hit, tells that one is missing, and has it from a later pass', () => {
      const once = loaded(hitIn(tape, 2));
      expect(once).toMatchObject({
        isStarted: false,
        got: numbers.filter((number) => number !== 2),
        stray: [],
      });
      expect(once.shown.at(-1)).toBe(1);
      const twice = loaded(joined(hitIn(tape, 2), hitIn(tape, 3)));
      expect(twice).toMatchObject({ isStarted: true, got: numbers, stray: [] });
      expect([...twice.song]).toEqual([...tape.bytes]);
    });

    test('and the head too; the song is not started before it is there', () => {
      const once = loaded(hitIn(tape, 0));
      expect(once).toMatchObject({ isStarted: false, got: numbers.slice(1) });
      expect([...once.song]).toEqual([...tape.bytes]);
      expect(loaded(joined(hitIn(tape, 0), tape.sound))).toMatchObject({ isStarted: true, got: numbers });
    });

    test('whatever drops out, nothing is written but whole blocks into their places', () => {
      const found = loaded(dropouts(tape.sound, RATE, 0.004, baud === 1200 ? 25 : 20, 5));
      expect(found.stray).toEqual([]);
      expect(found.got.length).toBeGreaterThan(0);
      expect(found.isStarted).toBe(false);
      const wanted = new Uint8Array(tape.bytes.length);
      for (const { number, address, data } of tape.blocks)
        if (number > 0 && found.got.includes(number)) wanted.set(data, address - SONG_AT);
      expect([...found.song]).toEqual([...wanted]);
    });

    test('a block of another tape is not mixed in', () => {
      const other = tapeOf(baud, 9, (tape.bytes.length * 3) / 2);
      expect(other.blocks.length).not.toBe(tape.blocks.length);
      const found = loaded(joined(hitIn(tape, 2), other.sound));
      expect(found).toMatchObject({ isStarted: false, got: numbers.filter((number) => number !== 2) });
    });
  });
});

describe.skipIf(!has('z80asm'))(
  'from the sound of a tape to the first bytes on the line',
  { timeout: 120_000 },
  () => {
    test('a Z80 at 4 MHz loads a prepared song with our loader, starts it, and sends it', () => {
      const timeline = buildTimeline(readSong(readFileSync('songs/night-ferry.mid')));
      const machine = {
        cpu: 'z80',
        clockHz: 4_000_000,
        from: SONG_AT,
        to: 0x5000,
        out: 0x10,
        repeat: false,
      } as const;
      const song = prepareSong(timeline, {}, machine)!;
      const blocks = blocksOfImage(song.image, 'night-ferry', 1200);
      const sound = floats(tapeSamples(blocks, { ...TAPE_SOUND, sampleRate: RATE, leaderSeconds: 0.2 }));
      const line = new TapeLine(sound, RATE);
      const z80 = new Z80Machine();
      const code = assembled('z80', 1200, 4);
      z80.ram.set(code, ORIGIN);
      z80.readPort = (_, cycle) => (line.level(cycle / 4e6) === 1 ? 0xff : 0x7f);
      const sent: number[] = [];
      z80.writePort = (port, value) => {
        if (port === machine.out) sent.push(value);
      };
      z80.call(ORIGIN, 0xff00, 0xfff0);
      const wanted = [...song.wireBytes.subarray(0, 300)];
      const step = stepperOf('z80', z80, code, line, 4e6);
      while (sent.length < wanted.length && z80.cycle < (line.seconds + 20) * 4e6) step();
      expect(sent).toEqual(wanted);
    });
  },
);
