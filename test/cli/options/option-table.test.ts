import { Command } from 'commander';
import { expect, test } from 'vitest';
import { addOptions, optionsOf } from '../../../src/cli/options/add-options.ts';
import { OPTION_GROUPS, type OptionRow } from '../../../src/cli/options/option-row.ts';
import { OPTION_TABLE } from '../../../src/cli/options/option-table.ts';

const ROWS: readonly OptionRow[] = OPTION_TABLE;

test('no command has two options of one name', () => {
  for (const name of new Set(ROWS.flatMap(({ commands }) => commands))) {
    const names = optionsOf(name).map((row) => row.name);
    expect(new Set(names).size, name).toBe(names.length);
  }
});

test('a number has its bounds, a choice its words, and a default is one of what may be given', () => {
  for (const row of ROWS) {
    const isNumber = row.kind === 'number' || row.kind === 'whole';
    expect(row.least !== undefined && row.most !== undefined, row.name).toBe(isNumber);
    expect(row.choices !== undefined, row.name).toBe(row.kind === 'choice');
    expect(row.value !== undefined, row.name).toBe(row.kind !== 'switch');
    if (typeof row.default === 'number') {
      expect(row.default).toBeGreaterThanOrEqual(row.least!);
      expect(row.default).toBeLessThanOrEqual(row.most!);
    }
    if (row.kind === 'choice' && row.default !== undefined) expect(row.choices).toContain(row.default);
  }
});

test('options of one name have the same default and bounds, whoever takes them, unless they are places', () => {
  const truths = new Map<string, string>();
  for (const { name, kind, least, most, default: value } of ROWS) {
    const truth = JSON.stringify([kind, least, most, value]);
    expect(truths.get(name) ?? truth, name).toBe(truth);
    truths.set(name, truth);
  }
});

test('help shows every option that is not hidden, under the heading of its group', () => {
  const help = addOptions(new Command('play'), 'play').helpInformation();
  let heading = '';
  const shown = help.split('\n').flatMap((line) => {
    if (/^\S.*:$/.test(line)) heading = line;
    const name = /^ {2}(?:-\w, )?--([a-z-]+)/.exec(line)?.[1];
    return name === undefined || name === 'help' ? [] : [`${heading} ${name}`];
  });
  const wanted = optionsOf('play').filter(({ hidden }) => hidden !== true);
  expect(shown.sort()).toEqual(wanted.map(({ group, name }) => `${OPTION_GROUPS[group]} ${name}`).sort());
});
