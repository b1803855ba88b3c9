import { execFileSync, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { verifySong } from '../../../../src/board/verify-song.ts';
import { playerCodeFor } from '../../../../src/core/export/player/player-code.ts';
import { prepareSong } from '../../../../src/core/export/prepare-song.ts';
import { readSong } from '../../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../../src/core/timeline/build-timeline.ts';
import { npmSongs } from '../../../support/package-songs.ts';
import { songBytes } from '../../../support/song-bytes.ts';
import { tempFolder } from '../../../support/temp-folder.ts';
import { Z80 as MACHINE } from './machines.ts';

const ferry = buildTimeline(readSong(new Uint8Array(readFileSync('songs/night-ferry.mid'))));

async function prove(timeline: Parameters<typeof prepareSong>[0], machine = MACHINE) {
  const song = prepareSong(timeline, {}, machine)!;
  expect([...song.played.bytes]).toEqual([...song.wireBytes]);
  return { song, verified: (await verifySong(song, machine))! };
}

describe('the Z80 player in an emulator that counts cycles (npm z80-emulator)', () => {
  test('every byte of songs comes out, at the cycle the account says', async () => {
    for (const { bytes } of npmSongs().slice(0, 1)) {
      const { verified } = await prove(buildTimeline(readSong(bytes)));
      expect(verified).toMatchObject({ equal: verified.bytes, accountCycles: 0, strayAccesses: 0 });
      expect(verified.worstLateMicros).toBeLessThanOrEqual(1000);
      expect(verified.shortestGapMicros).toBeGreaterThanOrEqual(320);
    }
  });

  test('and of any song, long rests and bursts among them, at clocks from 1 to 6 MHz', async () => {
    const event = fc.tuple(
      // A rest of seconds: more waits than one, and more units than 16 bits count.
      fc.oneof(fc.nat(4), fc.nat(400), fc.nat(2_000)),
      fc.tuple(fc.constantFrom(0x90, 0x91, 0xb3, 0xe5), fc.nat(127), fc.nat(127)),
    );
    await fc.assert(
      fc.asyncProperty(
        fc.array(event, { minLength: 1, maxLength: 120 }),
        fc.constantFrom(1, 2, 3.58, 4, 6),
        fc.nat(0x3fff),
        async (events, megahertz, from) => {
          const timeline = buildTimeline(readSong(songBytes([events])));
          const { verified } = await prove(timeline, {
            ...MACHINE,
            clockHz: megahertz * 1_000_000,
            from,
          });
          expect(verified).toMatchObject({ equal: verified.bytes, strayAccesses: 0 });
          // The clock is not always a whole number of units a second; nothing else may be off.
          expect(verified.accountCycles).toBeLessThanOrEqual(verified.bytes);
          expect(verified.shortestGapMicros).toBeGreaterThanOrEqual(320);
        },
      ),
      { numRuns: 8, seed: 20 },
    );
  });
});

describe('the code', () => {
  test('the code is no larger than the goal', () => {
    const { image } = prepareSong(ferry, {}, MACHINE)!;
    const code = playerCodeFor(MACHINE, image.codeAddress).assemble(image.symbols);
    expect(code.bytes.length + image.codeAddress - image.loadAddress).toBeLessThanOrEqual(450);
  });
});

const Z80ASM = spawnSync('z80asm', ['--version']).error === undefined;

describe.skipIf(!Z80ASM)('the same source in another assembler (Debian z80asm)', () => {
  const low = { at: 0x11, mask: 2, isLow: true };
  const high = { at: 0x12, mask: 4, isLow: false };
  test.each([{}, { ready: high }, { ready: low, stop: low, repeat: true }])(
    '%o gives the same bytes',
    (more) => {
      const machine = { ...MACHINE, ...more };
      const { image } = prepareSong(ferry, {}, machine)!;
      const ours = playerCodeFor(machine, image.codeAddress).assemble(image.symbols);
      const folder = tempFolder('z80asm');
      const names = Object.entries(image.symbols).map(([name, value]) => `${name}: equ ${value}`);
      const source = join(folder, 'player.asm');
      writeFileSync(source, `${names.join('\n')}\n org ${image.codeAddress}\n${image.source}\n`);
      execFileSync('z80asm', ['-o', join(folder, 'player.bin'), source], { stdio: 'pipe' });
      expect([...readFileSync(join(folder, 'player.bin'))]).toEqual([...ours.bytes]);
    },
  );
});
