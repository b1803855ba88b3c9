import { type ColourDepth, colourDepthFrom } from '../terminal/colour-depth.ts';
import { type GlyphSet, glyphsFor } from './glyphs.ts';
import { type Palette, type Styles, stylesFor } from './roles.ts';

/** How the screen is coloured and with what signs it is drawn. */
export interface Theme {
  readonly palette: Palette;
  readonly styles: Styles;
  readonly glyphs: GlyphSet;
}

export interface ThemeChoice {
  readonly palette: Palette;
  readonly ascii: boolean;
}

export function themeOf(choice: ThemeChoice): Theme {
  return { palette: choice.palette, styles: stylesFor(choice.palette), glyphs: glyphsFor(choice.ascii) };
}

/**
 * Reads a choice from the environment: the number of colours (see `colourDepthFrom`), `COLORFGBG` for the background (common practice, no source), the locale for the character set.
 */
export function themeFromEnvironment(
  environment: Readonly<Record<string, string | undefined>>,
  wishes: {
    readonly ascii?: boolean;
    readonly background?: 'dark' | 'light';
    readonly colours?: ColourDepth;
  } = {},
): ThemeChoice {
  const term = environment.TERM ?? '';
  const colours = wishes.colours ?? colourDepthFrom(environment);
  const background = wishes.background ?? backgroundOf(environment);
  return {
    palette: colours === 0 ? 'none' : `${colours}-${background}`,
    ascii: wishes.ascii ?? !showsBlocks(environment, term),
  };
}

/** `COLORFGBG` is "foreground;background"; 7 and 9–15 are light. */
function backgroundOf(environment: Readonly<Record<string, string | undefined>>): 'dark' | 'light' {
  const background = Number(environment.COLORFGBG?.split(';').at(-1) || Number.NaN);
  return background === 7 || background >= 9 ? 'light' : 'dark';
}

/** The Linux console's font has no braille; a locale that is not UTF-8 has neither. POSIX order of variables. */
function showsBlocks(environment: Readonly<Record<string, string | undefined>>, term: string): boolean {
  if (term === 'linux' || term === 'dumb' || /^vt\d/.test(term)) return false;
  const locale = environment.LC_ALL || environment.LC_CTYPE || environment.LANG || '';
  return /utf-?8/i.test(locale);
}
