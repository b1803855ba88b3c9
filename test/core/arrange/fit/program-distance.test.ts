import { describe, expect, test } from 'vitest';
import { NEARNESS, nearnessOf, programDistance } from '../../../../src/core/arrange/fit/program-distance.ts';
import {
  DYING_FAMILIES,
  NEIGHBOUR_FAMILIES,
  SUB_GROUPS,
} from '../../../../src/core/arrange/fit/program-groups.ts';

const PROGRAMS = Array.from({ length: 128 }, (_, program) => program);

describe('the table of programs that stand in for one another', () => {
  test('has every program in one group, and every group within a family of eight', () => {
    expect(SUB_GROUPS.flat().sort((a, b) => a - b)).toEqual(PROGRAMS);
    for (const group of SUB_GROUPS) expect(new Set(group.map((program) => program >> 3)).size).toBe(1);
  });

  test('names for each family others, each once', () => {
    expect(NEIGHBOUR_FAMILIES).toHaveLength(16);
    for (const [family, others] of NEIGHBOUR_FAMILIES.entries()) {
      expect(new Set([family, ...others]).size).toBe(others.length + 1);
      for (const other of others) expect(other >= 0 && other < 16).toBe(true);
    }
  });

  test('knows which die away: what is struck or plucked, of the families of General MIDI Level 1', () => {
    const struck = ['piano', 'chromatic percussion', 'guitar', 'bass', 'ethnic', 'percussive'];
    const families = [
      ...[
        'piano',
        'chromatic percussion',
        'organ',
        'guitar',
        'bass',
        'strings',
        'ensemble',
        'brass',
        'reed',
        'pipe',
      ],
      ...['synth lead', 'synth pad', 'synth effects', 'ethnic', 'percussive', 'sound effects'],
    ];
    expect(DYING_FAMILIES).toEqual(families.map((family) => struck.includes(family)));
  });
});

describe('nearness', () => {
  test.each([
    ['a grand piano and itself', 0, 0, 'same'],
    ['two pianos', 0, 3, 'sub-group'],
    ['a piano and an electric one', 0, 4, 'family'],
    ['violin and viola', 40, 41, 'sub-group'],
    ['violin and contrabass', 40, 43, 'family'],
    ['violin and string ensemble', 40, 48, 'neighbour'],
    ['two that die away', 32, 0, 'neighbour'],
    ['a bass and a music box', 32, 10, 'envelope'],
    ['a piano and a flute', 0, 73, 'any'],
    ['an organ and a flute', 16, 73, 'envelope'],
  ] as const)('%s', (_, wished, other, wanted) => {
    expect(nearnessOf(wished, other)).toBe(wanted);
  });

  test('orders before any number does; of two alike the nearer family, then the nearer number', () => {
    for (const wished of PROGRAMS) {
      const sorted = PROGRAMS.toSorted((a, b) => programDistance(wished, a) - programDistance(wished, b));
      const steps = sorted.map((other) => NEARNESS.indexOf(nearnessOf(wished, other)));
      expect(steps).toEqual(steps.toSorted((a, b) => a - b));
      const neighbours = sorted.filter((other) => nearnessOf(wished, other) === 'neighbour');
      const families = neighbours.map((other) => NEIGHBOUR_FAMILIES[wished >> 3]!.indexOf(other >> 3));
      expect(families).toEqual(families.toSorted((a, b) => a - b));
      const inFamily = sorted.filter((other) => nearnessOf(wished, other) === 'family');
      const away = inFamily.map((other) => Math.abs(other - wished));
      expect(away).toEqual(away.toSorted((a, b) => a - b));
    }
    expect(programDistance(5, 5)).toBe(0);
  });
});
