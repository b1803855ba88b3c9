import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { jsonText } from '../../../src/cli/output/json-text.ts';
import { answerOf } from '../../support/command-line.ts';
import { ROOT } from '../../support/run-wirepit.ts';
import { meta, songBytes } from '../../support/song-bytes.ts';
import { tempFolder } from '../../support/temp-folder.ts';

/** Controls (ECMA-48, C0 and C1, with DEL), bidirectional controls and marks (UAX 9), line separators, half pairs. */
const OBEYED = /[\p{Cc}\p{Bidi_Control}\p{Zl}\p{Zp}\p{Cs}]/u;

describe('JSON that a terminal may be shown', () => {
  test('holds no character that a terminal obeys, and says the same', () => {
    const everyOne = Array.from({ length: 0x10000 }, (_, point) => String.fromCharCode(point)).join('');
    expect(OBEYED.test(jsonText(everyOne))).toBe(false);
    expect(JSON.parse(jsonText(everyOne)) === everyOne).toBe(true);
    expect(jsonText('\u{1d11e} é')).toBe('"\u{1d11e} é"'); // everything else as it is
  });

  test("a song's own text comes out as text", async () => {
    const title = [0x41, 0x9b, 0x33, 0x31, 0x6d, 0x7f, 0x1b, 0x5b, 0x4a]; // Latin-1: CSI 31 m, DEL, ESC [ J
    const path = join(tempFolder('json'), 'right\u202eleft\u0085.mid');
    writeFileSync(
      path,
      songBytes([
        [
          [0, meta(3, title)],
          [0, [0x90, 60, 64]],
          [96, [0x80, 60, 64]],
        ],
      ]),
    );
    for (const command of [
      ['check', '--json'],
      ['--headless', '--clock', 'virtual', '--json'],
    ]) {
      const { stdout } = await answerOf([...command, path]);
      expect(stdout.trimEnd()).not.toMatch(OBEYED);
      expect(JSON.stringify(JSON.parse(stdout))).toContain('right\u202eleft');
    }
  });

  test('there is no other way to print any', () => {
    const folder = join(ROOT, 'src/cli');
    const printers = readdirSync(folder, { recursive: true, encoding: 'utf8' })
      .filter((name) => /\.tsx?$/.test(name))
      .filter((name) => readFileSync(join(folder, name), 'utf8').includes('JSON.stringify'));
    expect(printers).toEqual(['output/json-text.ts']);
  });
});
