import { readTape } from '../../../src/core/export/tape/read-tape.ts';
import { TAPE_BAUDS, type TapeBaud } from '../../../src/core/export/tape/tape-format.ts';
import { blocksOfImage } from '../../../src/core/export/tape/tape-image.ts';
import { TAPE_SOUND, tapeSamples } from '../../../src/core/export/tape/tape-sound.ts';
import {
  dropouts,
  floats,
  inverted,
  noisy,
  replayed,
  square,
  wow,
} from '../../core/export/tape/tape-damage.ts';
import { seeded } from '../../support/seeded.ts';
import type { Goal } from '../goal-line.ts';
import { printTable } from '../print-table.ts';

const RATE = 22_050;
/** Of memory on a tape: 16 blocks at 1200 baud, 32 at 300. */
const BYTES: Readonly<Record<TapeBaud, number>> = { 1200: 2048, 300: 1024 };
/** Chance decides where sound drops out: so many tapes are tried. */
const TAPES = 5;

type Damage = (samples: Float32Array, seed: number) => Float32Array;

/** Every block is wanted back. */
const HARMLESS: Readonly<Record<string, Damage>> = {
  clean: (samples) => samples,
  inverted,
  square,
  slow: (samples) => replayed(samples, RATE, () => 0.9),
  fast: (samples) => replayed(samples, RATE, () => 1.1),
  wow: (samples) => replayed(samples, RATE, wow(0.03, 0.01)),
  'noise-12dB': (samples) => noisy(samples, 12, 7),
};

/**
 * Sound that drops out, and the share of the blocks that passes joined had in the first measurements, in percent. Of a
 * single pass each drop-out takes a block with it, whatever the decoder does: that is shown, and no goal.
 */
const DROPOUTS: readonly {
  readonly name: string;
  readonly seconds: number;
  readonly perMinute: number;
  readonly passes: number;
  readonly atLeast?: Readonly<Record<TapeBaud, number>>;
}[] = [
  { name: '5ms', seconds: 0.005, perMinute: 12, passes: 1 },
  { name: '50ms', seconds: 0.05, perMinute: 6, passes: 1 },
  { name: '8ms-1-pass', seconds: 0.008, perMinute: 30, passes: 1 },
  { name: '8ms-2-passes', seconds: 0.008, perMinute: 30, passes: 2, atLeast: share(10, 2) },
  { name: '8ms-3-passes', seconds: 0.008, perMinute: 30, passes: 3, atLeast: share(12, 3) },
];

function share(of16: number, of8: number): Record<TapeBaud, number> {
  return { 1200: (100 * of16) / 16, 300: (100 * of8) / 8 };
}

/** What a damaged cassette gives back. Computed from seeds: the same on every machine. */
export function tapeGoals(): Goal[] {
  const goals: Goal[] = [];
  const rows: (string | number)[][] = [];
  for (const baud of TAPE_BAUDS) {
    const { blocks, sound } = tapeOf(baud);
    const whole = (...passes: Float32Array[]) => {
      const read = readTape(passes.map((samples) => ({ samples, sampleRate: RATE, isCut: false })));
      // A block that came back otherwise than it was written is worse than one that is missing.
      const isRight = read.blocks.every(
        ({ number, data }) => blocks[number]?.data.every((byte, at) => data[at] === byte) === true,
      );
      return isRight ? read.blocks.length : 0;
    };
    for (const [name, damage] of Object.entries(HARMLESS)) {
      const got = whole(damage(sound, 0));
      rows.push([name, baud, `${got} of ${blocks.length}`]);
      goals.push({ name: `tape-blocks-lost-${name}-${baud}`, value: blocks.length - got, atMost: 0 });
    }
    for (const { name, seconds, perMinute, passes, atLeast } of DROPOUTS) {
      let got = 0;
      for (let tape = 0; tape < TAPES; tape += 1) {
        const seeds = Array.from({ length: passes }, (_, pass) => 1 + tape * 10 + pass);
        got += whole(...seeds.map((seed) => dropouts(sound, RATE, seconds, perMinute, seed)));
      }
      const percent = (100 * got) / (TAPES * blocks.length);
      rows.push([
        `drop-outs ${name}, ${perMinute} a minute`,
        baud,
        `${(got / TAPES).toFixed(1)} of ${blocks.length}`,
      ]);
      if (atLeast !== undefined)
        goals.push({
          name: `tape-blocks-dropouts-${name}-${baud}`,
          value: percent,
          atLeast: atLeast[baud],
          unit: '%',
        });
    }
  }
  printTable(['tape', 'baud', 'blocks'], rows);
  return goals;
}

function tapeOf(baud: TapeBaud) {
  const chance = seeded(baud);
  const bytes = Uint8Array.from({ length: BYTES[baud] }, () => Math.floor(chance() * 256));
  const blocks = blocksOfImage({ bytes, loadAddress: 0x4000, startAddress: 0x4000 }, 'A song', baud);
  return { blocks, sound: floats(tapeSamples(blocks, { ...TAPE_SOUND, baud, sampleRate: RATE })) };
}
