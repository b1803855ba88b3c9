import {
  BACKGROUND_BITS,
  BACKGROUND_SHIFT,
  BOLD,
  type CellGrid,
  DIM,
  FOREGROUND_BITS,
  INVERSE,
  ITALIC,
  UNDERLINE,
  WIDE_TAIL,
} from '../src/screen/cells/cell-grid.ts';
import { paletteRgb } from '../src/screen/cells/palette.ts';

export interface SvgColours {
  readonly foreground: string;
  readonly background: string;
}

export const DARK: SvgColours = { foreground: '#d0d0d0', background: '#16181c' };
export const LIGHT: SvgColours = { foreground: '#303030', background: '#fbfaf6' };

const CELL = { width: 9, height: 19, baseline: 14.5, fontSize: 15 };

/** A picture of the cells of a screen, with the colours of the 256-colour palette. */
export function gridSvg(grid: CellGrid, colours: SvgColours): string {
  const width = grid.columns * CELL.width;
  const height = grid.rows * CELL.height;
  const parts = [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}">`,
    `<rect width="${width}" height="${height}" fill="${colours.background}"/>`,
    `<g font-family="DejaVu Sans Mono, monospace" font-size="${CELL.fontSize}" xml:space="preserve">`,
  ];
  for (let y = 0; y < grid.rows; y += 1) {
    const run = { from: 0, style: 0, text: '' };
    const flush = (): void => {
      if (run.text.trim() !== '') parts.push(textRun(run.text, run.from, y, run.style, colours));
      run.text = '';
    };
    for (let x = 0; x < grid.columns; x += 1) {
      const codePoint = grid.glyph[y * grid.columns + x]!;
      const style = grid.style[y * grid.columns + x]!;
      const [front, back] = cellColours(style, colours);
      const left = x * CELL.width;
      const top = y * CELL.height;
      if (back !== colours.background) {
        parts.push(
          `<rect x="${left}" y="${top}" width="${CELL.width}" height="${CELL.height}" fill="${back}"/>`,
        );
      }
      const isDrawn = isBraille(codePoint) || isBlock(codePoint);
      if (isBraille(codePoint)) parts.push(brailleDots(codePoint, left, top, front));
      if (isBlock(codePoint)) parts.push(blockPart(codePoint, left, top, front));
      if (isDrawn || codePoint === WIDE_TAIL || style !== run.style) flush();
      if (isDrawn || codePoint === WIDE_TAIL) continue;
      if (run.text === '') {
        run.from = x;
        run.style = style;
      }
      run.text += String.fromCodePoint(codePoint);
    }
    flush();
  }
  parts.push('</g>', '</svg>', '');
  return parts.join('\n');
}

function cellColours(style: number, colours: SvgColours): [string, string] {
  const front = paletteColour(style & FOREGROUND_BITS, colours.foreground);
  const back = paletteColour((style & BACKGROUND_BITS) >> BACKGROUND_SHIFT, colours.background);
  return style & INVERSE ? [back, front] : [front, back];
}

/** 0 is the terminal's own colour, else the palette index + 1. */
function paletteColour(bits: number, own: string): string {
  if (bits === 0) return own;
  return `#${paletteRgb(bits - 1)
    .map((level) => level.toString(16).padStart(2, '0'))
    .join('')}`;
}

/** Dots are drawn, not written: few fonts have braille. Bits 0–2 and 6 are the left column from the top down. */
function brailleDots(codePoint: number, left: number, top: number, fill: string): string {
  const rows = [
    [0x01, 0x08],
    [0x02, 0x10],
    [0x04, 0x20],
    [0x40, 0x80],
  ] as const;
  let dots = '';
  for (const [row, bits] of rows.entries()) {
    for (const [column, bit] of bits.entries()) {
      if ((codePoint & bit) === 0) continue;
      dots += `<circle cx="${left + 2.5 + column * 4.2}" cy="${top + 3 + row * 4.4}" r="1.6" fill="${fill}"/>`;
    }
  }
  return dots;
}

/** U+2581–2588 grow from below by eighths, U+2589–258F shrink from full width by eighths. */
function blockPart(codePoint: number, left: number, top: number, fill: string): string {
  const fromBelow = codePoint <= 0x2588;
  const height = fromBelow ? (CELL.height * (codePoint - 0x2580)) / 8 : CELL.height;
  const width = fromBelow ? CELL.width : (CELL.width * (0x2590 - codePoint)) / 8;
  return `<rect x="${left}" y="${top + CELL.height - height}" width="${width}" height="${height}" fill="${fill}"/>`;
}

function isBraille(codePoint: number): boolean {
  return codePoint >= 0x2800 && codePoint <= 0x28ff;
}

function isBlock(codePoint: number): boolean {
  return codePoint >= 0x2581 && codePoint <= 0x258f;
}

/** Cells of one style in a row; the length is given so that every font keeps to the cells. */
function textRun(text: string, x: number, y: number, style: number, colours: SvgColours): string {
  const words = text.trimEnd();
  const [front] = cellColours(style, colours);
  const weight = style & BOLD ? ' font-weight="bold"' : '';
  const slant = style & ITALIC ? ' font-style="italic"' : '';
  const line = style & UNDERLINE ? ' text-decoration="underline"' : '';
  const faint = style & DIM ? ' opacity="0.6"' : '';
  const left = x * CELL.width;
  const length = [...words].length * CELL.width;
  const place = `x="${left}" y="${y * CELL.height + CELL.baseline}" textLength="${length}"`;
  return `<text ${place} fill="${front}"${weight}${slant}${line}${faint}>${escaped(words)}</text>`;
}

function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;');
}
