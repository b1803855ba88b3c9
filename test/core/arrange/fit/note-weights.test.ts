import { expect, test } from 'vitest';
import { heardNotes } from '../../../../src/core/arrange/fit/heard-notes.ts';
import { noteWeights } from '../../../../src/core/arrange/fit/note-weights.ts';
import { DYING_FAMILIES } from '../../../../src/core/arrange/fit/program-groups.ts';
import { columnsOfText } from './rows-as-text.ts';

const columns = columnsOfText('0 B0 07 7F', '0 90 3C 7F', '0 90 40 20', '1 99 24 7F', '1 99 51 7F');
const notes = heardNotes(columns, [9]);

test('families that are struck die away within a second, the others in two to four; drums before all of them', () => {
  for (const [family, isDying] of DYING_FAMILIES.entries()) {
    const like = new Uint8Array(notes.count).fill(8 * family + 7);
    const { decay } = noteWeights(columns, notes, 1, like);
    expect(decay[0]! >= (isDying ? 0.5 : 2) && decay[0]! <= (isDying ? 1 : 4), `family ${family}`).toBe(true);
    expect([decay[2], decay[3]]).toEqual([0.25, 0.25]);
  }
});

test('half as loud is less than half as much; roles may be told, and are taken as told', () => {
  const role = Uint8Array.of(3, 3, 3, 3);
  const { weight, role: told } = noteWeights(columns, notes, 5, notes.program, role);
  expect(told).toBe(role);
  expect(weight[0]).toBeCloseTo(1, 12);
  expect(weight[1]).toBeCloseTo((32 / 127) ** 1.2, 12);
  expect(weight[3]).toBeCloseTo((100 / 127) ** 1.2, 12);
});
