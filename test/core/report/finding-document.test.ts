import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { findingDocument } from '../../../src/core/report/finding-document.ts';
import { PROBLEM_GUIDE, SONG_GUIDE, TIMELINE_GUIDE } from '../../../src/core/report/finding-guide.ts';
import { INSTRUMENT_FINDINGS } from '../../../src/core/report/instrument-finding.ts';
import { SONG_FINDINGS } from '../../../src/core/smf/song-findings.ts';
import { TIMELINE_FINDINGS } from '../../../src/core/timeline/timeline-finding.ts';

const DOCUMENT = 'docs/findings.md';

/** Whoever changes a table prints the document anew: `npx vitest run test/core/report/finding-document.test.ts -u`. */
describe('docs/findings.md', () => {
  test('is what the tables say', async () => {
    await expect(findingDocument()).toMatchFileSnapshot(`../../../${DOCUMENT}`);
  });

  test('has every code that check can print, and no other', () => {
    const codes = [...readFileSync(DOCUMENT, 'utf8').matchAll(/^\| `([a-z0-9-]+)` \| .* \| .* \|$/gm)].map(
      ([, code]) => code!,
    );
    const tables = [PROBLEM_GUIDE, INSTRUMENT_FINDINGS, SONG_FINDINGS, TIMELINE_FINDINGS].flatMap(
      Object.keys,
    );
    expect(codes).toEqual(tables);
  });

  test('says for each what it means and what to do, as a sentence without a table mark', () => {
    for (const guide of [PROBLEM_GUIDE, INSTRUMENT_FINDINGS, SONG_GUIDE, TIMELINE_GUIDE]) {
      for (const [code, { means, toDo }] of Object.entries(guide)) {
        for (const sentence of [means, toDo]) expect(sentence, code).toMatch(/^[A-Z][^|]+\.$/);
      }
    }
  });

  test('every problem code that the check makes is in the guide', () => {
    const source = readFileSync('src/core/report/check-song.ts', 'utf8');
    const made = [...source.matchAll(/code: '([a-z-]+)'/g)].map(([, code]) => code!);
    expect([...new Set(made)].sort()).toEqual(Object.keys(PROBLEM_GUIDE).sort());
  });

  test('the README leads to it, by way of the documents’ own', () => {
    expect(readFileSync('README.md', 'utf8')).toContain('(docs/README.md)');
    expect(readFileSync('docs/README.md', 'utf8')).toContain('(findings.md)');
  });
});
