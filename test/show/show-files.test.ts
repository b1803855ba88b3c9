import { existsSync, readdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, expect, test } from 'vitest';
import { ShowFiles } from '../../src/show/show-files.ts';
import { tempFolder } from '../support/temp-folder.ts';

let folder: string;
beforeEach(() => {
  folder = tempFolder('show');
});

const PLACE = { place: { round: 1, turn: 2, played: 0 }, song: 'a.mid', positionMicros: 5_000_000 };

test('a state is kept and read by a later run of the same set, and leaves no draft behind', () => {
  new ShowFiles('/sets/evening.toml', folder).writeState(PLACE);
  expect(new ShowFiles('/sets/evening.toml', folder).readState()).toMatchObject(PLACE);
  expect(new ShowFiles('/other/evening.toml', folder).readState()).toBeUndefined();
  expect(readdirSync(folder)).toHaveLength(1);
});

test('a state that is damaged is none', () => {
  const files = new ShowFiles('/sets/evening.toml', folder);
  files.writeState(PLACE);
  writeFileSync(files.statePath, readFileSync(files.statePath, 'utf8').slice(0, 30));
  expect(files.readState()).toBeUndefined();
});

test('a folder that cannot be written to is told and stops nothing', () => {
  writeFileSync(join(folder, 'file'), '');
  const files = new ShowFiles('/sets/evening.toml', join(folder, 'file', 'below'));
  files.writeState(PLACE);
  files.journal('played', new Date(0));
  expect(files.trouble).toMatch(/ENOTDIR|not a directory/);
});

test('the journal has a line for each thing, in local time', () => {
  const files = new ShowFiles('/sets/evening.toml', folder);
  files.journal('Night Ferry played to its end', new Date(2026, 10, 26, 9, 5, 7));
  expect(readFileSync(files.journalPath, 'utf8')).toBe(
    '2026-11-26 09:05:07  Night Ferry played to its end\n',
  );
});

test.skipIf(!existsSync('/dev/full'))(
  'a full disk leaves the old state whole, and is told until there is room',
  () => {
    const files = new ShowFiles('/sets/evening.toml', folder);
    files.writeState(PLACE);
    symlinkSync('/dev/full', `${files.statePath}.${process.pid}.new`);
    files.writeState({ ...PLACE, positionMicros: 9_000_000 });
    expect(files.trouble).toMatch(/full|ENOSPC|no space/i);
    expect(files.readState()).toMatchObject(PLACE);
    files.writeState({ ...PLACE, positionMicros: 9_000_000 });
    expect(files.trouble).toBeUndefined();
    expect(files.readState()?.positionMicros).toBe(9_000_000);
  },
);
