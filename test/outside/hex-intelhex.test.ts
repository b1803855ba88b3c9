import { execFileSync, spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { hexRecords } from '../../src/core/export/hex-records.ts';
import { readHexRecords } from '../../src/core/export/read-hex-records.ts';
import { tempFolder } from '../support/temp-folder.ts';

/** Outside check: a library reads our Intel HEX, and we read what it writes (Debian python3-intelhex). */
const PYTHON = ['/usr/bin/python3', 'python3'].find(
  (python) => spawnSync(python, ['-c', 'import intelhex']).status === 0,
);

const READ = `
import sys, intelhex
read = intelhex.IntelHex(sys.argv[1])
sys.stdout.write('%d %s' % (read.minaddr(), read.tobinstr().hex()))`;
const WRITE = `
import sys, intelhex
made = intelhex.IntelHex()
made.frombytes(bytes.fromhex(sys.argv[2]), int(sys.argv[3]))
made.write_hex_file(sys.argv[1], byte_count=int(sys.argv[4]))`;

const bytes = Uint8Array.from({ length: 1000 }, (_, n) => (n * 73 + (n >> 3)) & 0xff);

describe.skipIf(PYTHON === undefined)('Intel HEX against python3-intelhex (Debian package)', () => {
  test.each([
    [0x4000, 32],
    [0, 255],
    [0x1_0000 - 1000, 1],
  ])('it reads ours from %i on, %i bytes a record', (loadAddress, recordBytes) => {
    const file = join(tempFolder('hex'), 'ours.hex');
    writeFileSync(file, hexRecords(bytes, loadAddress, recordBytes));
    expect(execFileSync(PYTHON!, ['-c', READ, file], { encoding: 'latin1' })).toBe(
      `${loadAddress} ${Buffer.from(bytes).toString('hex')}`,
    );
  });

  test('we read its', () => {
    const file = join(tempFolder('hex'), 'its.hex');
    execFileSync(PYTHON!, ['-c', WRITE, file, Buffer.from(bytes).toString('hex'), String(0x2345), '16']);
    expect(readHexRecords(readFileSync(file, 'latin1'))).toEqual({ bytes, loadAddress: 0x2345 });
  });
});
