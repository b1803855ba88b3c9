import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { instrumentDocument } from '../../../src/cli/instrument/instrument-document.ts';
import { instrumentPage, unsaidIn } from '../../../src/cli/instrument/instrument-page.ts';
import type { Profile } from '../../../src/core/instrument/profile.ts';
import type { ProfileDocument } from '../../../src/core/instrument/profile-document.ts';
import { profileFromDocument } from '../../../src/core/instrument/profile-from-document.ts';
import { profileNamed } from '../../../src/profile/profile-named.ts';
import { parseNameDocument } from '../../../src/profile/read-name-document.ts';
import { answerOf } from '../../support/command-line.ts';
import { madeDocument } from '../../support/name-documents.ts';

function profile(document: ProfileDocument): Profile {
  const result = profileFromDocument(document);
  if (!('instrument' in result)) throw new Error(JSON.stringify(result));
  return result;
}

const seven = z.int().min(0).max(127);
const range = z.tuple([seven, seven]);
const schema = z.strictObject({
  schema: z.literal('wirepit-instrument/1'),
  name: z.string(),
  voices: z.int().min(1),
  parts: z.int().min(1).max(16),
  channels: z.array(z.int().min(1).max(16)),
  keys: range,
  full: z.enum(['oldest', 'released', 'newest']),
  releaseMs: z.number().min(0),
  bendRange: z.number().min(0),
  controllers: z.array(seven).nullable(),
  registeredParameters: z.array(z.int().min(0).max(16_383)).nullable(),
  resets: z.array(z.enum(['gm1', 'gm2', 'reset-all-controllers', 'all-notes-off', 'all-sound-off'])),
  runningStatus: z.boolean(),
  pausesMs: z.strictObject({
    afterReset: z.number().min(0),
    afterProgram: z.number().min(0),
    afterSysEx: z.number().min(0),
    betweenBytes: z.number().min(0),
  }),
  banks: z.array(
    z.strictObject({
      name: z.string(),
      msb: seven.nullable(),
      lsb: seven.nullable(),
      programs: z.array(
        z.strictObject({
          number: z.int().min(1).max(128),
          name: z.string(),
          like: z.int().min(1).max(128).nullable(),
          keys: range.nullable(),
          voicesEach: z.int().min(1),
        }),
      ),
    }),
  ),
  drums: z.strictObject({
    channels: z.array(z.int().min(1).max(16)),
    keys: z.array(z.strictObject({ key: seven, name: z.string() })),
    kits: z.array(z.strictObject({ kit: z.int().min(1).max(128), name: z.string() })),
  }),
  quirks: z.array(z.string()),
  unsaid: z.array(z.string()),
  remarks: z.array(z.string()),
});

describe('the page of an instrument', () => {
  const box = profile({
    instrument: { name: 'Box', voices: 8, channels: [1, 2], keys: [36, 96], full: 'released' },
    bank: [{ name: 'One', msb: 3, programs: ['Bell', '', 'Horn'] }],
    drums: { channels: [] },
  });

  test('says what was said, marks what was not, and lists it at the end', () => {
    const page = instrumentPage(box);
    expect(page[0]).toBe('Box');
    expect(page).toContain('  voices           8');
    expect(page).toContain('  keys             36 to 96 (C2 to C7)');
    expect(page).toContain('  when full        a note that was let go is cut first');
    expect(page).toContain('* release          none');
    expect(page).toContain('  Bank "One": CC 0 = 3; 2 programs');
    expect(page).toContain('      3  Horn');
    const unsaid = page.slice(page.indexOf('* left unsaid, and taken as General MIDI has it:') + 1).join(' ');
    expect(unsaid).toContain('release-ms');
    expect(unsaid).not.toContain('voices');
    // Without drums there is nothing about drums to say.
    expect(unsaid).not.toContain('drums.keys');
  });

  test('names what a sound stands nearest to, unless it goes by that very name', () => {
    const program = [
      { number: 1, name: 'Tin Horn', like: 61 },
      { number: 2, name: 'Trumpet', like: 57 },
    ];
    const page = instrumentPage(profile({ bank: [{ program }] }));
    expect(page).toContain('      1  Tin Horn  (like 61 French Horn)');
    expect(page).toContain('      2  Trumpet');
  });

  test('every mark is a field that is unsaid, and every unsaid field but the name has one', () => {
    const marked = instrumentPage(box).filter(
      (line) => line.startsWith('* ') && !line.includes('left unsaid'),
    );
    expect(marked).toHaveLength(unsaidIn(box).filter((field) => field !== 'name').length);
  });

  test('of a profile that says nothing leaves all unsaid; of what is built in, nothing', () => {
    expect(unsaidIn(profile({}))).toContain('voices');
    expect(unsaidIn(profileNamed('general-midi'))).toEqual([]);
    expect(instrumentPage(profileNamed('general-midi')).some((line) => line.startsWith('*'))).toBe(false);
  });

  test('of a name document tells what could not be used', () => {
    const read = parseNameDocument(madeDocument(7, 20).text, 'made.midnam');
    const page = instrumentPage(read);
    for (const remark of read.remarks) expect(page).toContain(`    ${remark}`);
    expect(unsaidIn(read)).toContain('voices');
  });
});

describe('wirepit instrument', () => {
  test('--json is as its schema says, for all that is built in or shipped, and the document has every field', () => {
    for (const name of [
      'general-midi',
      'general-midi-2',
      'lindwurm-eight',
      'parlour-piano',
      'tin-beat-box',
    ]) {
      expect(() =>
        schema.parse(JSON.parse(JSON.stringify(instrumentDocument(profileNamed(name))))),
      ).not.toThrow();
    }
    const text = readFileSync('docs/instruments.md', 'utf8');
    for (const field of Object.keys(schema.shape)) expect(text, field).toContain(`\`${field}`);
  });

  test('prints a page', async () => {
    const { code, stdout } = await answerOf(['instrument', 'parlour-piano']);
    expect(code).toBe(0);
    expect(stdout).toMatch(/^Parlour Piano\n/);
    expect(stdout).toContain('left unsaid');
  });

  test.each([
    ['nosuch', /no instrument is called "nosuch"/],
    ['nosuch.midnam', /^wirepit: nosuch\.midnam: there is no such file; check the path/],
    ['test/support/seeded.ts', /seeded\.ts/],
  ])('refuses %s in one line', async (name, line) => {
    const { code, stderr } = await answerOf(['instrument', name]);
    expect(stderr).toMatch(line);
    expect(stderr.trimEnd()).not.toContain('\n');
    expect(code).toBe(2);
  });

  test('without a name says what to do', async () => {
    const { code, stderr } = await answerOf(['instrument']);
    expect(stderr).toContain('no instrument is named; name one to print it, or give --ask');
    expect(code).toBe(2);
  });
});
