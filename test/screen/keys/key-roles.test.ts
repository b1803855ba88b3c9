import { describe, expect, test } from 'vitest';
import { helpLines } from '../../../src/screen/keys/help-lines.ts';
import { keyModeOf, whyNot } from '../../../src/screen/keys/key-mode.ts';
import { isAllowed, ROLE_WORDS } from '../../../src/screen/keys/key-roles.ts';
import { KEY_TABLE } from '../../../src/screen/keys/key-table.ts';
import { pressKey } from '../../../src/screen/keys/press-key.ts';
import type { KeyRole } from '../../../src/screen/state/key-role.ts';
import { DIALOGS, type Dialog, FIRST_STATE } from '../../../src/screen/state/screen-state.ts';
import type { SongView } from '../../../src/screen/state/song-view.ts';
import { glyphsFor } from '../../../src/screen/theme/glyphs.ts';
import { playIntoObserved } from '../../support/play-into-observed.ts';
import { screenSong } from '../../support/screen-song.ts';

const NOW = 9_000_000;

/** A song that plays, with one before and one after it, seen by `keyRole`. */
function sceneOf(keyRole: KeyRole, dialog: Dialog) {
  const song = {
    ...screenSong(),
    keyRole,
    place: { number: 2, of: 3, before: 'a.mid', after: 'c.mid' },
  };
  const observed = playIntoObserved(song.timeline!, NOW);
  return { state: { ...FIRST_STATE, dialog }, observed, song, stuck: [], songs: [], nowMicros: NOW };
}

describe('keys that are not for everybody', () => {
  test('whoever looks on changes nothing that plays, in any view, but may leave', () => {
    for (const dialog of DIALOGS) {
      for (const { keys } of KEY_TABLE) {
        for (const key of keys) {
          const from = sceneOf('onlooker', dialog);
          const { commands } = pressKey(key, from);
          expect(
            commands.filter(({ kind }) => kind !== 'quit'),
            `${key} in ${dialog}`,
          ).toEqual([]);
        }
      }
    }
    expect(pressKey('q', sceneOf('onlooker', 'none')).state.outcome).toEqual({ kind: 'quit' });
  });

  test('a visitor pauses, goes on, and silences: nothing else is sent', () => {
    const kinds = new Set(
      KEY_TABLE.flatMap(({ keys }) =>
        keys.flatMap((key) => pressKey(key, sceneOf('visitor', 'none')).commands),
      ).map(({ kind }) => kind),
    );
    expect([...kinds].sort()).toEqual(['pause', 'quit', 'silence-all']);
  });

  test('a key that is not for this role says so, in a line of 80 columns', () => {
    const { state } = pressKey('m', sceneOf('onlooker', 'none'));
    expect(state.said?.text).toBe(ROLE_WORDS.onlooker);
    for (const words of Object.values(ROLE_WORDS)) expect(words.length).toBeLessThan(79);
  });

  test('the help of a show that is watched says that leaving ends nothing; whoever plays it is told of the silence', () => {
    const quitLine = (view: SongView) =>
      helpLines(glyphsFor(false), keyModeOf(view)).find(({ key }) => key === 'q')!.text;
    const shown = screenSong();
    expect(quitLine({ ...shown, isWatched: true, keyRole: 'onlooker' })).toBe('leave; the show goes on');
    expect(quitLine({ ...shown, isWatched: true })).toBe('leave; the show goes on');
    expect(quitLine(shown)).toBe('quit, with silence');
  });

  test('whoever plays has every key', () => {
    for (const { action } of KEY_TABLE) expect(isAllowed(action, undefined)).toBe(true);
    for (const row of KEY_TABLE)
      expect(whyNot(row, { song: true, time: true, list: true, set: true, output: true })).toBeUndefined();
  });
});
