import { spawnSync } from 'node:child_process';
import { closeSync, openSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { hexRecords } from '../../src/core/export/hex-records.ts';
import type { PlayerMachine } from '../../src/core/export/player/player-machine.ts';
import { type PreparedSong, prepareSong } from '../../src/core/export/prepare-song.ts';
import { readSong } from '../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { Z80Machine } from '../support/z80-machine.ts';

/** A second emulator that shares nothing with the first: `sz80` of the Debian package sdcc-ucsim. */
const isHere = spawnSync('sz80', ['-V'], { input: 'quit\n' }).error === undefined;
interface Written {
  readonly byte: number;
  readonly cycle: number;
}

/**
 * Runs an image and stops at each write to the port; `state` tells the cycles, and A holds the byte. Commands and
 * answers go through files: on a socket, which is what Node's pipes are, it would edit lines and paint.
 */
function written({ image }: PreparedSong, port: number, count: number): Written[] {
  const folder = tempFolder('sz80');
  const at = (name: string) => join(folder, name);
  writeFileSync(at('song.hex'), hexRecords(image.bytes, image.loadAddress, 32));
  const begin = [`break outputs w ${port}`, `pc ${image.startAddress}`];
  const each = ['run', 'state', 'info registers'];
  const lines = [...begin, ...Array.from({ length: count }, () => each).flat(), 'quit', ''];
  writeFileSync(at('commands'), lines.join('\n'));
  const [input, output] = [openSync(at('commands'), 'r'), openSync(at('answers'), 'w')];
  try {
    spawnSync('sz80', ['-t', 'Z80', at('song.hex')], { stdio: [input, output, 'ignore'] });
  } finally {
    closeSync(input);
    closeSync(output);
  }
  const said = readFileSync(at('answers'), 'latin1');
  const cycles = [...said.matchAll(/^Total time since last reset=.*\((\d+) clks\)/gm)];
  const bytes = [...said.matchAll(/ A= 0x([0-9a-f]{2}) /g)];
  expect(bytes.length).toBe(cycles.length);
  return cycles.map(([, cycle], index) => ({
    cycle: Number(cycle),
    byte: Number.parseInt(bytes[index]![1]!, 16),
  }));
}

/** `dec hl`, which is 6 T-states as published (Z80 CPU User Manual UM0080) and 7 in sz80 0.6.4. */
const DEC_HL = 0x2b;

/** The same run in the first emulator, and how many of what the second counts too dearly came before each byte. */
function expected({ image }: PreparedSong, port: number, count: number): (Written & { dearer: number })[] {
  const machine = new Z80Machine();
  machine.ram.set(image.bytes, image.loadAddress);
  machine.call(image.startAddress, 0xf000, 0xfffe);
  const found: (Written & { dearer: number })[] = [];
  let dearer = 0;
  machine.writePort = (to, byte, cycle) => {
    if (to === port) found.push({ byte, cycle, dearer });
  };
  while (found.length < count && machine.pc !== 0xfffe) {
    if (machine.ram[machine.pc] === DEC_HL) dearer += 1;
    machine.step();
  }
  return found;
}

describe.skipIf(!isHere)(
  'a second emulator confirms bytes and cycles (Debian sdcc-ucsim)',
  { timeout: 120_000 },
  () => {
    test.each([
      // So many bytes of the beginning of each: it stops at every one to be asked for the cycle. Behind them comes hardly
      // an instruction of the player that did not come before.
      ['night-ferry', 2_000_000, 12, 350],
      ['tide-study', 1_000_000, 15, 350],
      ['tangled-nets', 4_000_000, 2, 500],
    ] as const)('%s at %i Hz', (name, clockHz, seconds, most) => {
      const machine: PlayerMachine = {
        cpu: 'z80',
        clockHz,
        from: 0x4000,
        to: 0xf000,
        out: 0x10,
        repeat: false,
      };
      const timeline = buildTimeline(readSong(readFileSync(`songs/${name}.mid`)));
      const beginning = { end: { micros: seconds * 1_000_000, tick: 0xffff_ffff } };
      const song = prepareSong(timeline, beginning, machine)!;
      const count = Math.min(most, song.wireBytes.length);
      const [found, first] = [written, expected].map((run) => run(song, machine.out, count)) as [
        Written[],
        ReturnType<typeof expected>,
      ];
      expect(found.map(({ byte }) => byte)).toEqual([...song.wireBytes.subarray(0, count)]);
      const { sentUnits, unitsPerSecond } = song.played;
      const unitCycles = clockHz / unitsPerSecond;
      expect(
        found.map(({ cycle }, at) => cycle - found[0]!.cycle - (first[at]!.dearer - first[0]!.dearer)),
      ).toEqual(Array.from(sentUnits.subarray(0, count), (units) => (units - sentUnits[0]!) * unitCycles));
    });
  },
);
