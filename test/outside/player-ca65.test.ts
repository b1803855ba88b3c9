import { execFileSync, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { playerCodeFor } from '../../src/core/export/player/player-code.ts';
import type { PlayerMachine } from '../../src/core/export/player/player-machine.ts';
import { prepareSong } from '../../src/core/export/prepare-song.ts';
import { readSong } from '../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';
import { tempFolder } from '../support/temp-folder.ts';

const CA65 = spawnSync('ca65', ['--version']).error === undefined;
const low = { at: 0xf811, mask: 2, isLow: true };
const high = { at: 0xf812, mask: 4, isLow: false };

describe.skipIf(!CA65)('the 6502 player in another assembler (Debian cc65)', () => {
  test.each([{}, { ready: high }, { ready: low, stop: low, repeat: true }])(
    '%o gives the same bytes',
    (more) => {
      const machine: PlayerMachine = {
        cpu: '6502',
        clockHz: 1_000_000,
        from: 0x2041,
        to: 0xf000,
        out: 0xf810,
        zeroPage: 0xe0,
        repeat: false,
        ...more,
      };
      const song = readSong(new Uint8Array(readFileSync('songs/night-ferry.mid')));
      const { image } = prepareSong(buildTimeline(song), {}, machine)!;
      const ours = playerCodeFor(machine, image.codeAddress).assemble(image.symbols);
      const folder = tempFolder('ca65');
      const at = (name: string) => join(folder, name);
      const names = Object.entries(image.symbols).map(([name, value]) => `${name} = ${value}`);
      writeFileSync(at('player.s'), `${names.join('\n')}\n.org ${image.codeAddress}\n${image.source}\n`);
      writeFileSync(
        at('flat.cfg'),
        'MEMORY { ALL: start = 0, size = $10000, file = %O; }\nSEGMENTS { CODE: load = ALL; }\n',
      );
      execFileSync('ca65', ['-o', at('player.o'), at('player.s')], { stdio: 'pipe' });
      execFileSync('ld65', ['-C', at('flat.cfg'), '-o', at('player.bin'), at('player.o')], { stdio: 'pipe' });
      expect([...readFileSync(at('player.bin'))]).toEqual([...ours.bytes]);
    },
  );
});
