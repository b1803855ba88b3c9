import { createRequire } from 'node:module';
import { describe, expect, it } from 'vitest';
import {
  drumSetName,
  GM_FAMILIES,
  GM_PERCUSSION,
  GM_PROGRAMS,
  percussionName,
  programFamily,
  programName,
} from '../../../src/core/instrument/general-midi.ts';

interface NameSource {
  readonly MIDI: { programName(program: number): string; percussionName(key: number): string };
}

const require = createRequire(import.meta.url);
const outside: NameSource = require('jzz');
require('jzz-midi-gm')(outside);

/** Where npm jzz-midi-gm 1.4.1 follows another printing of the table. */
const OTHER_SPELLINGS: Readonly<Record<string, string>> = {
  'Synth Voice': 'Synth Choir',
  'Bag Pipe': 'Bagpipe',
  'Closed Hi-Hat': 'Closed Hi Hat',
};

describe('General MIDI Level 1 names (RP-003)', () => {
  it('has 16 families of 8 programs and 47 drum sounds, no name twice', () => {
    expect(GM_FAMILIES).toHaveLength(16);
    for (const { programs } of GM_FAMILIES) expect(programs).toHaveLength(8);
    expect(new Set(GM_PROGRAMS).size).toBe(128);
    expect(new Set(GM_PERCUSSION).size).toBe(47);
  });

  it.each(GM_PROGRAMS.map((name, program) => [program, name] as const))(
    'program %i is %s',
    (program, name) => {
      expect(programName(program)).toBe(name);
      expect(outside.MIDI.programName(program)).toBe(OTHER_SPELLINGS[name] ?? name);
    },
  );

  it.each(GM_PERCUSSION.map((name, i) => [35 + i, name] as const))('drum key %i is %s', (key, name) => {
    expect(percussionName(key)).toBe(name);
    expect(outside.MIDI.percussionName(key)).toBe(OTHER_SPELLINGS[name] ?? name);
  });

  // The standard counts programs from 1: 1 Acoustic Grand Piano, 6 Electric Piano 2, 71 Bassoon, 128 Gunshot.
  it.each([
    [0, 'Acoustic Grand Piano', 'Piano'],
    [5, 'Electric Piano 2', 'Piano'],
    [46, 'Orchestral Harp', 'Strings'],
    [70, 'Bassoon', 'Reed'],
    [127, 'Gunshot', 'Sound Effects'],
  ])('counts programs from 0: %i', (program, name, family) => {
    expect(programName(program)).toBe(name);
    expect(programFamily(program)).toBe(family);
  });

  it('has no drum sound outside 35 to 81', () => {
    expect([34, 82].map(percussionName)).toEqual([undefined, undefined]);
    expect([35, 81].map(percussionName)).toEqual(['Acoustic Bass Drum', 'Open Triangle']);
  });

  it('names drum sets, and those no standard names by number', () => {
    expect([0, 25, 12].map(drumSetName)).toEqual(['Standard Drums', 'Analog Drums', 'Drums 13']);
  });
});
