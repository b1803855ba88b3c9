import { copyFileSync, existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, it } from 'vitest';
import type { OptionRow } from '../../../src/cli/options/option-row.ts';
import { OPTION_TABLE } from '../../../src/cli/options/option-table.ts';
import { decodeShowState } from '../../../src/core/show/show-state.ts';
import { readSet } from '../../../src/show/read-set.ts';
import { KEPT_SCHEMA, SET_SCHEMA } from '../../../src/show/set-schema.ts';
import { answerOf } from '../../support/command-line.ts';
import { ROOT } from '../../support/run-wirepit.ts';
import { tempFolder } from '../../support/temp-folder.ts';
import { showReportSchema } from '../show-schema.ts';

const folder = tempFolder('show-docs');
const doc = (name: string): string => readFileSync(join(ROOT, 'docs', name), 'utf8');
const cells = (text: string): string[] =>
  text
    .split('\n')
    .filter((line) => line.startsWith('| `'))
    .flatMap((line) => [...line.split('|')[1]!.matchAll(/`([^`]+)`/g)].map((match) => match[1]!));

/** The names of every field, `a[].b` for those in lists. */
function fieldsOf(value: unknown, at = ''): string[] {
  if (Array.isArray(value)) return [`${at}[]`, ...fieldsOf(value[0], `${at}[]`)];
  if (typeof value !== 'object' || value === null) return at === '' || at.endsWith('[]') ? [] : [at];
  return Object.entries(value).flatMap(([name, each]) => fieldsOf(each, at === '' ? name : `${at}.${name}`));
}

describe('the report of a show', () => {
  let report: unknown;
  beforeAll(async () => {
    copyFileSync(join(ROOT, 'songs/tide-study.mid'), join(folder, 'tide.mid'));
    const set = join(folder, 'day.toml');
    writeFileSync(set, '[[song]]\nfile = "tide.mid"\n[[song]]\nfile = "gone.mid"\n');
    const ran = await answerOf(['show', set, '--headless', '--clock', 'virtual', '--json']);
    expect(ran.code).toBe(1);
    report = JSON.parse(ran.stdout);
  });

  it('is as its schema says, and tells what was played and what was not', () => {
    const { played, skipped, playedCount } = showReportSchema.parse(report);
    expect(played.map(({ file, how }) => [file, how])).toEqual([[join(folder, 'tide.mid'), 'ended']]);
    expect(playedCount).toBe(1);
    expect(Date.parse(played[0]!.to) - Date.parse(played[0]!.from)).toBeGreaterThan(10_000);
    expect(skipped).toMatchObject([{ file: join(folder, 'gone.mid') }]);
  });

  it('docs/show-json.md explains every field of it and of the state, and no other', () => {
    const state = {
      schema: 'wirepit-show-state/1',
      set: 's',
      place: { round: 0, turn: 1, played: 0 },
      song: 'a',
      positionMicros: 5,
    };
    expect(decodeShowState(JSON.stringify(state))).toEqual(state);
    const fields = [...fieldsOf(report), ...fieldsOf({ state })];
    expect(cells(doc('show-json.md')).sort()).toEqual(fields.sort());
  });
});

describe('docs/show.md', () => {
  const text = doc('show.md');

  it('explains every word of a set, and no other', () => {
    const { set, song, section } = SET_SCHEMA.shape;
    const words = [
      ...Object.keys(set.unwrap().shape).map((word) => `set.${word}`),
      ...Object.keys(song.element.shape).map((word) => `song.${word}`),
      ...Object.keys(section.unwrap().element.shape).map((word) => `section.${word}`),
    ];
    const explained = cells(text).filter((word) => /^(set|song|section)\./.test(word));
    expect(explained.sort()).toEqual(words.sort());
    for (const word of Object.keys(KEPT_SCHEMA.shape.song.unwrap().element.shape)) {
      expect(text.split('**Kept settings.**')[1]!.split('## ')[0]).toContain(`\`${word}\``);
    }
  });

  it('has an example that is a set', () => {
    const path = join(folder, 'example.toml');
    writeFileSync(path, /```toml\n([^`]+)```/.exec(text)![1]!);
    const { set } = readSet(path);
    expect(set.songs.map(({ tempoPercent }) => tempoPercent)).toEqual([95, 100]);
    expect(set.songs[1]).toMatchObject({ section: 0, from: '9', programs: new Map([[0, 19]]) });
    for (const song of set.songs) expect(existsSync(join(ROOT, song.path.slice(folder.length)))).toBe(true);
  });

  it('names only options that show, or watch, has', () => {
    const rows: readonly OptionRow[] = OPTION_TABLE;
    const own = new Set(
      rows
        .filter(({ commands }) => commands.includes('show') || commands.includes('watch'))
        .map(({ name }) => name),
    );
    const named = [...text.matchAll(/(?<![\w-])--([a-z][a-z-]+)/g)].map((match) => match[1]!);
    const others = named.filter((name) => !own.has(name) && name !== 'user');
    expect(others).toEqual([]);
  });

  it('its first two commands do what it says', async () => {
    const set = join(folder, 'harvest.toml');
    const written = await answerOf(['show', '--new', folder, set]);
    expect(written.code, written.stderr).toBe(0);
    expect(readSet(set).set.songs.map(({ path }) => path)).toEqual([join(folder, 'tide.mid')]);
    expect((await answerOf(['show', '--new', folder, set])).code).toBe(2);
    const unit = await answerOf(['show', set, '--port', 'serial:/dev/ttyS0', '--service']);
    expect(unit.stdout).toMatch(
      /^ExecStart=.* show .*harvest\.toml --headless --unattended --port serial:\/dev\/ttyS0$/m,
    );
  });
});
