import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { answerOf } from '../../support/command-line.ts';
import { tempFolder } from '../../support/temp-folder.ts';

const MILLION = `[[bank]]\nmsb = 0\nprograms = [${'"p",'.repeat(1_000_000)}]\n`;
const DEEP = `<MIDINameDocument>${'<a>'.repeat(20_000)}${'</a>'.repeat(20_000)}</MIDINameDocument>`;
const ENTITIES =
  '<?xml version="1.0"?>\n<!DOCTYPE d [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>\n<MIDINameDocument>\n<Author>&b;</Author></MIDINameDocument>\n';

/** Name, text, what is said after the file: the line, then the place, the cause and the next step. */
test.each([
  ['field.toml', '[instrument]\nvoises = 8\n', /^:2, instrument\.voises: there is no such field; check/],
  ['none.toml', '[instrument]\nvoices = 0\n', /^:2, instrument\.voices: .+; mend this value$/],
  [
    'overlap.toml',
    '[[bank]]\nname = "A"\nmsb = 0\nprograms = ["x"]\n[[bank]]\nname = "B"\nmsb = 0\nprograms = ["z"]\n',
    /^:5, bank\[2\]: the bank "A" has the same select .+; give each its own msb and lsb$/,
  ],
  [
    'select.toml',
    '[[bank]]\nname = "A"\nmsb = 1\nprograms = ["x"]\n[[bank]]\nname = "B"\nprograms = ["z"]\n',
    /^:5, bank\[2\]: nothing selects the bank "B"; give it msb/,
  ],
  ['million.toml', MILLION, /^:3, bank\[1\]\.programs: a bank has 128 programs at the most; mend/],
  ['deep.midnam', DEEP, /^:1:\d+: elements lie more than 64 deep; this is no name document$/],
  [
    'broken.midnam',
    '<MIDINameDocument>\n<a>\n</MIDINameDocument>\n',
    /^:3:\d+: this is not XML: unexpected close tag; mend this line$/,
  ],
  ['entities.midnam', ENTITIES, /^:4:\d+: this is not XML: undefined entity; mend this line$/],
])('%s is refused in one line with file, line and what to do', async (name, text, said) => {
  const file = join(tempFolder('bad-profile'), name);
  writeFileSync(file, text);
  const { code, stdout, stderr } = await answerOf(['instrument', file]);
  const head = `wirepit: ${file}`;
  expect(stderr.startsWith(head), stderr.slice(0, 200)).toBe(true);
  expect(stderr.slice(head.length).trimEnd()).toMatch(said);
  expect(stderr.trimEnd()).not.toContain('\n');
  expect(stdout).toBe('');
  expect(code).toBe(2);
});
