import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { wirepitProgram } from '../../../src/cli/program.ts';
import { commandOutlines } from '../../../src/cli/shell/command-outline.ts';
import { manPage } from '../../../src/cli/shell/man-page.ts';

const program = wirepitProgram();
const outlines = commandOutlines(program);
const page = manPage(program.description(), '1.2.3', outlines);
const hasGroff = spawnSync('groff', ['--version']).status === 0;

describe('the man page', () => {
  it('is ASCII, and no line of text is taken for a request', () => {
    expect(page).toMatch(/^[\n\x20-\x7e]*$/);
    const requests = page.split('\n').filter((line) => /^[.']/.test(line));
    for (const line of requests) expect(line).toMatch(/^\.(TH|SH|SS|TP|PP|B|I|br)( |$)/);
  });

  it.skipIf(!hasGroff)('is set by groff without a warning, with every command and option in it', () => {
    const set = spawnSync('groff', ['-man', '-Tutf8', '-ww', '-P-cbou', '-rLL=200n'], {
      input: page,
      encoding: 'utf8',
    });
    expect(set.stderr).toBe('');
    const parts = set.stdout.split(/^(?=WIREPIT )/m);
    for (const { name, rows } of outlines) {
      const part = parts.find((each) => each.startsWith(`WIREPIT ${name.toUpperCase()}\n`));
      expect(part, name).toBeDefined();
      for (const row of rows) {
        const words = row.about.replace(/\s+/g, ' ');
        expect(part!, row.name).toContain(`--${row.name}`);
        expect(part!.replace(/[\s‐]+/g, ' '), row.name).toContain(words);
      }
    }
  });
});
