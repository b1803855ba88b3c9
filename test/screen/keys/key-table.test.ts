import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { ACTIONS } from '../../../src/screen/actions/actions.ts';
import { keyDocument } from '../../../src/screen/keys/key-document.ts';
import { FIRST_KEYS, keyHint, SEARCH_KEYS } from '../../../src/screen/keys/key-hint.ts';
import { PLAYING } from '../../../src/screen/keys/key-mode.ts';
import { KEY_GROUPS, KEY_TABLE, rowFor } from '../../../src/screen/keys/key-table.ts';
import { DIALOGS } from '../../../src/screen/state/screen-state.ts';

describe('the key table', () => {
  test('has a key for every action', () => {
    const named = new Set(KEY_TABLE.map((row) => row.action));
    expect([...named].sort()).toEqual(Object.keys(ACTIONS).sort());
  });

  test('gives no key two meanings in one dialog', () => {
    for (const dialog of DIALOGS) {
      const heard = KEY_TABLE.filter((row) => (row.only ? row.only.includes(dialog) : dialog !== 'songs'));
      const keys = heard.flatMap((row) => row.keys);
      expect(keys.length).toBe(new Set(keys).size);
    }
  });

  test('uses no digit: digits are numbers before keys', () => {
    for (const row of KEY_TABLE) for (const key of row.keys) expect(key).not.toMatch(/^\d$/);
  });

  test('leaves every letter to the search while songs are chosen', () => {
    for (let code = 0x21; code < 0x7f; code += 1) {
      expect(rowFor(String.fromCharCode(code), 'songs')).toBeUndefined();
    }
    expect(rowFor('enter', 'songs')?.action).toBe('open-song');
    expect(rowFor('ctrl-c', 'songs')?.action).toBe('quit-anywhere');
  });

  test('says N in the help of exactly the rows that take a number', () => {
    for (const row of KEY_TABLE) {
      if (row.action === 'lane-up' || row.action === 'lane-down') continue;
      for (const help of [row.help, row.helpUnheard ?? row.help]) {
        expect(/\bN\b/.test(help), help).toBe(row.number === true);
      }
    }
  });

  test('a key of the bottom line does what it says in every dialog, and silence is always among them', () => {
    for (const dialog of DIALOGS) {
      const pieces = dialog === 'songs' ? SEARCH_KEYS : FIRST_KEYS;
      const line = keyHint(200, PLAYING, dialog);
      expect(line).toContain('silence');
      for (const [text, action] of pieces) {
        if (!line.includes(text)) continue;
        const key = text.replace('left, right', 'right').split(/[ ,]/)[0]!.replace(/^esc$/, 'escape');
        expect(rowFor(key, dialog)?.action, `${key} in ${dialog}`).toBe(action);
      }
    }
  });

  test('sorts every row into a known group', () => {
    for (const row of KEY_TABLE) expect(KEY_GROUPS).toContain(row.group);
  });

  test('is what docs/keys.md says', () => {
    expect(readFileSync('docs/keys.md', 'utf8')).toBe(keyDocument());
  });
});
