import { BOLD, background, DIM, foreground, INVERSE, ITALIC, PLAIN, UNDERLINE } from '../cells/cell-grid.ts';

/**
 * Every part a colour can play, and its style on each kind of terminal: 256 colours dark and light, 16 colours
 * dark and light, none at all (`NO_COLOR`). Whatever a colour tells here a glyph or a word tells too.
 */
const ROLE_STYLES = {
  //              256 dark                 256 light                16 dark               16 light             none
  text: [fg(252), fg(236), PLAIN, PLAIN, PLAIN],
  strong: [fg(230) | BOLD, fg(233) | BOLD, BOLD, BOLD, BOLD],
  label: [fg(245), fg(242), PLAIN, PLAIN, PLAIN],
  faint: [fg(240), fg(248), fg(8), fg(8), DIM],
  name: [fg(180), fg(94), fg(3), fg(4), BOLD],
  selected: [fg(216) | BOLD, fg(130) | BOLD, fg(11) | BOLD, fg(1) | BOLD, INVERSE],
  flash: [fg(233) | bg(216), fg(231) | bg(130), fg(0) | bg(3), fg(15) | bg(4), INVERSE],
  glow: [fg(238), fg(251), fg(8), fg(8), DIM],
  noteSoft: [fg(66), fg(109), fg(6), fg(6), DIM],
  noteMid: [fg(79), fg(30), fg(14), fg(4), PLAIN],
  noteLoud: [fg(229) | BOLD, fg(89) | BOLD, fg(15) | BOLD, fg(5) | BOLD, BOLD],
  drumSoft: [fg(95), fg(181), fg(5), fg(5), DIM],
  drumMid: [fg(174), fg(131), fg(13), fg(1), PLAIN],
  drumLoud: [fg(223) | BOLD, fg(88) | BOLD, fg(15) | BOLD, fg(1) | BOLD, BOLD],
  muted: [fg(208), fg(166), fg(1), fg(1), BOLD],
  soloed: [fg(16) | bg(186) | BOLD, fg(231) | bg(64) | BOLD, fg(0) | bg(2), fg(15) | bg(2), INVERSE | BOLD],
  stuck: [
    fg(231) | bg(161) | BOLD,
    fg(231) | bg(161) | BOLD,
    fg(15) | bg(1) | BOLD,
    fg(15) | bg(1) | BOLD,
    INVERSE | BOLD,
  ],
  good: [fg(108), fg(65), fg(2), fg(2), PLAIN],
  warn: [fg(179), fg(136), fg(3), fg(3), UNDERLINE],
  bad: [fg(203) | BOLD, fg(160) | BOLD, fg(9) | BOLD, fg(1) | BOLD, BOLD | UNDERLINE],
  played: [fg(73), fg(31), fg(6), fg(6), PLAIN],
  ahead: [fg(241), fg(248), fg(8), fg(8), DIM],
  playhead: [fg(16) | bg(230), fg(231) | bg(235), INVERSE, INVERSE, INVERSE],
  loop: [fg(150), fg(64), fg(10), fg(2), BOLD],
  lyric: [fg(230) | BOLD, fg(233) | BOLD, BOLD, BOLD, BOLD],
  lyricRest: [fg(245) | ITALIC, fg(242) | ITALIC, PLAIN, PLAIN, PLAIN],
} as const satisfies Record<string, readonly [number, number, number, number, number]>;

export type Role = keyof typeof ROLE_STYLES;
export const ROLES = Object.keys(ROLE_STYLES) as Role[];

/** A style number (see `CellGrid`) for each role. */
export type Styles = Readonly<Record<Role, number>>;

export const PALETTES = ['256-dark', '256-light', '16-dark', '16-light', 'none'] as const;
export type Palette = (typeof PALETTES)[number];

export function stylesFor(palette: Palette): Styles {
  const column = PALETTES.indexOf(palette);
  return Object.fromEntries(ROLES.map((role) => [role, ROLE_STYLES[role][column]!])) as Record<Role, number>;
}

function fg(paletteIndex: number): number {
  return foreground(paletteIndex);
}

function bg(paletteIndex: number): number {
  return background(paletteIndex);
}
