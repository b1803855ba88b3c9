import { execFileSync, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { encodeWav } from '../../src/core/export/tape/encode-wav.ts';
import { readWav } from '../../src/core/export/tape/read-wav.ts';
import { encodeTapeBlock } from '../../src/core/export/tape/tape-block.ts';
import { tapeBytes } from '../../src/core/export/tape/tape-bytes.ts';
import { blocksOfImage } from '../../src/core/export/tape/tape-image.ts';
import { TAPE_SOUND, tapeSamples } from '../../src/core/export/tape/tape-sound.ts';
import { zeroCrossings } from '../../src/core/export/tape/zero-crossings.ts';
import { tempFolder } from '../support/temp-folder.ts';

/** Outside check: a general-purpose modem program reads our tapes, and we read the ones it makes. */
const MODEM = ['--mark', '2400', '--space', '1200', '--stopbits', '2', '-q', '-f'];
const isHere = spawnSync('minimodem', ['--version']).error === undefined;
const folder = tempFolder('tape');

const memory = Uint8Array.from({ length: 300 }, (_, n) => (n * 7) & 0xff);

describe.skipIf(!isHere)('tape against minimodem (Debian package)', () => {
  test.each([300, 1200] as const)('it reads our %i baud, byte for byte', (baud) => {
    const blocks = blocksOfImage({ bytes: memory, loadAddress: 0x200, startAddress: 0x200 }, 'x', baud);
    const file = join(folder, `ours-${baud}.wav`);
    writeFileSync(file, encodeWav(tapeSamples(blocks, { ...TAPE_SOUND, baud, leaderSeconds: 0.5 }), 44_100));
    const heard = execFileSync('minimodem', ['--rx', String(baud), ...MODEM, file], {
      stdio: ['ignore', 'pipe', 'ignore'],
    });
    expect(heard.toString('hex')).toBe(
      Buffer.concat(blocks.map((block) => encodeTapeBlock(block))).toString('hex'),
    );
  });

  test.each([300, 1200] as const)('we read its %i baud, byte for byte', (baud) => {
    const file = join(folder, `its-${baud}.wav`);
    execFileSync('minimodem', ['--tx', String(baud), ...MODEM, file], { input: memory });
    const { samples, sampleRate } = readWav(readFileSync(file));
    const found = tapeBytes(zeroCrossings(samples, sampleRate), baud);
    expect([...found.values]).toEqual([...memory]);
  });
});
