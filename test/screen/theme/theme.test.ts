import { describe, expect, test } from 'vitest';
import { ATTRIBUTE_BITS, BACKGROUND_BITS, FOREGROUND_BITS } from '../../../src/screen/cells/cell-grid.ts';
import { cellWidth } from '../../../src/screen/cells/cell-width.ts';
import { glyphsFor } from '../../../src/screen/theme/glyphs.ts';
import { PALETTES, ROLES, stylesFor } from '../../../src/screen/theme/roles.ts';
import { SIGN_TABLE } from '../../../src/screen/theme/sign-table.ts';
import { themeFromEnvironment } from '../../../src/screen/theme/theme.ts';

describe('styles', () => {
  test('without colours only attributes are used', () => {
    const styles = stylesFor('none');
    for (const role of ROLES) expect(styles[role] & ~ATTRIBUTE_BITS).toBe(0);
  });

  test('the 16-colour palettes use the first sixteen only', () => {
    for (const palette of ['16-dark', '16-light'] as const) {
      const styles = stylesFor(palette);
      for (const role of ROLES) {
        expect(styles[role] & FOREGROUND_BITS).toBeLessThanOrEqual(16);
        expect((styles[role] & BACKGROUND_BITS) >> 9).toBeLessThanOrEqual(16);
      }
    }
  });

  test('in every palette soft, middle and loud notes, and stuck ones, look different', () => {
    for (const palette of PALETTES) {
      const { noteSoft, noteMid, noteLoud, stuck } = stylesFor(palette);
      expect(new Set([noteSoft, noteMid, noteLoud, stuck]).size).toBe(4);
    }
  });
});

describe('signs', () => {
  for (const ascii of [true, false]) {
    test(`${ascii ? 'ascii' : 'block'} signs take one cell each`, () => {
      const {
        heights,
        fills,
        notes,
        states,
        braille: _,
        left,
        right,
        up,
        down,
        ...single
      } = glyphsFor(ascii);
      if (ascii) expect([left, right, up, down].join(' ')).toMatch(/^[ -~]+$/);
      for (const sign of [
        ...heights,
        ...fills,
        ...notes,
        ...Object.values(states),
        ...Object.values(single),
      ]) {
        expect([...sign]).toHaveLength(1);
        expect(cellWidth(sign.codePointAt(0)!)).toBe(1);
        if (ascii) expect(sign).toMatch(/^[ -~]$/);
      }
    });
  }
});

test('in ascii the sign of a note let go stands for nothing else', () => {
  const { notes, ...others } = glyphsFor(true);
  const signs = Object.values(others).flatMap((each) =>
    typeof each === 'object' ? Object.values(each) : each,
  );
  expect(notes.filter((sign) => sign === notes[0])).toHaveLength(1);
  expect(signs).not.toContain(notes[0]);
  // Its line in the help is the only one with this sign.
  const told = SIGN_TABLE.filter(({ sign }) => sign(glyphsFor(true)).includes(notes[0]));
  expect(told.map(({ meaning }) => meaning)).toEqual(['just let go, or pedal-held']);
});

describe('choice from the environment', () => {
  const cases: readonly (readonly [Record<string, string>, string, boolean])[] = [
    [{ TERM: 'xterm-256color', LANG: 'C.UTF-8' }, '256-dark', false],
    [{ TERM: 'xterm', LANG: 'de_DE.utf8' }, '16-dark', false],
    [{ TERM: 'xterm', COLORTERM: 'truecolor', LC_ALL: 'C', LANG: 'C.UTF-8' }, '256-dark', true],
    [{ TERM: 'screen', LANG: 'C.UTF-8' }, '16-dark', false],
    [{ TERM: 'linux', LANG: 'C.UTF-8' }, '16-dark', true],
    [{ TERM: 'vt220', LANG: 'C.UTF-8' }, 'none', true],
    [{ TERM: 'xterm', LC_ALL: 'C' }, '16-dark', true],
    [{ TERM: 'xterm', LANG: 'C' }, '16-dark', true],
    [{ TERM: 'xterm-256color', NO_COLOR: '1', LANG: 'C.UTF-8' }, 'none', false],
    [{ TERM: 'xterm-256color', COLORFGBG: '0;15', LANG: 'C.UTF-8' }, '256-light', false],
    [{ TERM: 'xterm-256color', COLORFGBG: '15;default;0', LANG: 'C.UTF-8' }, '256-dark', false],
    [{ TERM: 'dumb' }, 'none', true],
    [{}, 'none', true],
  ];
  for (const [environment, palette, ascii] of cases) {
    test(JSON.stringify(environment), () => {
      expect(themeFromEnvironment(environment)).toEqual({ palette, ascii });
    });
  }

  test('wishes go first', () => {
    const wishes = { ascii: true, background: 'light', colours: 16 } as const;
    expect(themeFromEnvironment({ TERM: 'xterm-256color', LANG: 'C.UTF-8' }, wishes)).toEqual({
      palette: '16-light',
      ascii: true,
    });
  });
});
