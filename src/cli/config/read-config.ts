import * as z from 'zod';
import { readToml } from '../../files/toml/read-toml.ts';
import type { OptionRow } from '../options/option-row.ts';
import { OPTION_TABLE } from '../options/option-table.ts';
import { type HabitRow, type HabitValue, habitRows } from './habit-rows.ts';

/** What a settings file says of one option. */
export interface Setting {
  readonly value: HabitValue;
  /** From 1. */
  readonly line: number;
}

/**
 * Reads a settings file (TOML 1.0): options by their names, each as the option table has it.
 * @returns by name in the file
 * @throws {Refusal} with file, line and what to do: no such option, one that is no habit, a wrong value
 */
export function readConfig(path: string): ReadonlyMap<string, Setting> {
  const rows = habitRows();
  const toml = readToml(path, schemaOf(rows));
  const settings = new Map<string, Setting>();
  for (const [key, value] of Object.entries(toml.value)) {
    const row = rows.find((each) => each.key === key);
    if (row === undefined) throw toml.refusal([key], ...complaintOf(key, rows));
    const list = row.kind === 'texts' && typeof value === 'string' ? [value] : value;
    settings.set(key, { value: list as HabitValue, line: toml.lineOf([key]) });
  }
  return settings;
}

/** Strange names are let through here, and told of with more words. */
function schemaOf(rows: readonly HabitRow[]) {
  return z.looseObject(
    Object.fromEntries(
      rows.map((row) => {
        const { wanted, fits } = judgeOf(row);
        return [row.key, z.custom<HabitValue>(fits, `expected ${wanted}`).optional()];
      }),
    ),
  );
}

interface Judge {
  readonly wanted: string;
  readonly fits: (value: unknown) => boolean;
}

/** The bounds are those of the command line: both are told by the row. */
function judgeOf({ kind, choices = [], least = 0, most = 0 }: HabitRow): Judge {
  const isText = (value: unknown) => typeof value === 'string' && value !== '';
  const isBetween = (value: unknown) => typeof value === 'number' && value >= least && value <= most;
  switch (kind) {
    case 'switch':
      return { wanted: 'true or false', fits: (value) => typeof value === 'boolean' };
    case 'number':
      return { wanted: `a number from ${least} to ${most}`, fits: isBetween };
    case 'whole':
      return {
        wanted: `a whole number from ${least} to ${most}`,
        fits: (value) => isBetween(value) && Number.isInteger(value),
      };
    case 'choice':
      return {
        wanted: choices.map((word) => `"${word}"`).join(' or '),
        fits: (value) => choices.some((word) => word === value),
      };
    case 'texts':
      return {
        wanted: 'a text in quotes, or a list of them',
        fits: (value) => isText(value) || (Array.isArray(value) && value.length > 0 && value.every(isText)),
      };
    default:
      return { wanted: 'a text in quotes', fits: isText };
  }
}

function complaintOf(key: string, rows: readonly HabitRow[]): readonly [what: string, nextStep: string] {
  if (rows.some(({ name }) => name === key)) {
    return ['an option is named here without its no', `write ${key.replace(/^no-/, '')} = false`];
  }
  const all: readonly OptionRow[] = OPTION_TABLE;
  if (all.some(({ name, hidden }) => name === key && hidden !== true)) {
    return ['this option is for one run, not for all', 'take it out, and give it on the command line'];
  }
  const meant = rows.find((row) => isNear(row.key, key))?.key;
  return [
    'there is no such option',
    meant === undefined ? 'wirepit config lists those there are' : `is ${meant} meant?`,
  ];
}

/** One letter more, fewer, other, or two that changed places. */
function isNear(a: string, b: string): boolean {
  if (Math.abs(a.length - b.length) > 1) return false;
  let same = 0;
  while (same < a.length && a[same] === b[same]) same += 1;
  const [restA, restB] = [a.slice(same), b.slice(same)];
  if (restA.slice(2) === restB.slice(2) && restA[0] === restB[1] && restA[1] === restB[0]) return true;
  return [
    [restA.slice(1), restB],
    [restA, restB.slice(1)],
    [restA.slice(1), restB.slice(1)],
  ].some(([x, y]) => x === y);
}
