import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  BACKGROUND_BITS,
  BOLD,
  background,
  CellGrid,
  DIM,
  FOREGROUND_BITS,
  foreground,
  INVERSE,
  ITALIC,
  PLAIN,
  SPACE,
  UNDERLINE,
  WIDE_TAIL,
} from '../../../src/screen/cells/cell-grid.ts';
import { drawText } from '../../../src/screen/cells/draw-text.ts';
import { gridText } from '../../../src/screen/cells/grid-text.ts';
import { CellDifference } from '../../../src/screen/terminal/cell-difference.ts';
import type { ColourDepth } from '../../../src/screen/terminal/colour-depth.ts';
import { openVirtualTerminal } from '../../support/virtual-terminal.ts';

const STYLES = [
  PLAIN,
  BOLD,
  DIM,
  BOLD | DIM,
  foreground(2),
  foreground(11) | background(4),
  foreground(200) | UNDERLINE,
  background(17) | INVERSE,
  ITALIC | foreground(255) | background(232),
];
const TEXTS = ['a', 'Bcd', '  ', '─│┌', '█▂⣿', '日本', '語x', 'é', 'ñ ж', '한글', '▶♪', '         '];

interface Stroke {
  readonly text: string;
  readonly style: number;
  readonly x: number;
  readonly y: number;
}
interface Step {
  readonly resize: readonly [number, number] | undefined;
  readonly strokes: readonly Stroke[];
  readonly isClearing: boolean;
}

const stroke = fc.record({
  text: fc.constantFrom(...TEXTS),
  style: fc.constantFrom(...STYLES),
  x: fc.integer({ min: -2, max: 30 }),
  y: fc.integer({ min: 0, max: 9 }),
});
const step: fc.Arbitrary<Step> = fc.record({
  resize: fc.option(fc.tuple(fc.integer({ min: 2, max: 30 }), fc.integer({ min: 1, max: 9 })), {
    nil: undefined,
    freq: 6,
  }),
  strokes: fc.array(stroke, { maxLength: 25 }),
  isClearing: fc.boolean(),
});

/** What the terminal can show of a grid: no colours it was not to have, blanks without what does not show. */
function visible(grid: CellGrid, depth: ColourDepth): string[] {
  return Array.from(grid.glyph, (glyph, at) => {
    let style = grid.style[at]!;
    if (depth === 0) style &= ~(FOREGROUND_BITS | BACKGROUND_BITS);
    if (glyph === SPACE && (style & (INVERSE | UNDERLINE)) === 0) style &= BACKGROUND_BITS;
    return glyph === WIDE_TAIL ? 'tail' : `${String.fromCodePoint(glyph)} ${style.toString(16)}`;
  });
}

function makeTerminal(columns: number, rows: number) {
  const terminal = openVirtualTerminal(columns, rows);
  return { terminal, start: terminal.write('\u001b[?1049h\u001b[?7l') };
}

describe('the difference between two frames, sent to a terminal emulator', () => {
  for (const depth of [256, 0] as const) {
    it(`shows the second frame whole, whatever was there, and never scrolls (${depth} colours)`, async () => {
      await fc.assert(
        fc.asyncProperty(fc.array(step, { minLength: 1, maxLength: 8 }), async (steps) => {
          const { terminal, start } = makeTerminal(20, 6);
          await start;
          const difference = new CellDifference(depth);
          let grid = new CellGrid(20, 6);
          for (const { resize, strokes, isClearing } of steps) {
            if (resize !== undefined) {
              grid = new CellGrid(...resize);
              terminal.resize(...resize);
            }
            if (isClearing) grid.clear();
            for (const { text, style, x, y } of strokes) drawText(grid, x, y, text, style);
            await terminal.write(Buffer.from(difference.encode(grid)));
            expect(visible(terminal.grid(), depth)).toEqual(visible(grid, depth));
            expect(terminal.scrolledRows()).toBe(0);
          }
          terminal.close();
        }),
        { numRuns: 150 },
      );
    });
  }

  it('shows whatever lies in the cells without a control character, also half wide characters', async () => {
    const anything = fc.record({
      at: fc.nat({ max: 119 }),
      glyph: fc.oneof(
        fc.nat({ max: 0x2fff }),
        fc.nat({ max: 0x10ffff }),
        fc.nat({ max: 0x9f }),
        fc.constant(0xffffffff),
      ),
      style: fc.nat({ max: 2 ** 23 - 1 }),
    });
    await fc.assert(
      fc.property(fc.array(fc.array(anything, { maxLength: 60 }), { maxLength: 5 }), (frames) => {
        const difference = new CellDifference(256);
        for (const frame of frames) {
          const grid = new CellGrid(20, 6);
          for (const { at, glyph, style } of frame) {
            grid.glyph[at] = glyph;
            grid.style[at] = style;
          }
          const sent = Buffer.from(difference.encode(grid)).toString('utf8');
          const rest = sent.replace(/\u001b\[[0-9;]*[A-HJKm]/g, '').replace(/[\r\n\b]/g, '');
          expect(rest).not.toMatch(/[\p{Cc}\p{Cf}\p{Cs}\ufffd]/u);
          expect(difference.encode(grid).length).toBe(0);
        }
      }),
      { numRuns: 300 },
    );
  });

  it('keeps its place after characters that terminals measure differently', async () => {
    // The emulator here draws emoji in one cell (Unicode 6 table), newer terminals in two: both must stay whole.
    const { terminal, start } = makeTerminal(12, 2);
    await start;
    const difference = new CellDifference(256);
    const grid = new CellGrid(12, 2);
    drawText(grid, 0, 0, 'abcdefghijkl', PLAIN);
    await terminal.write(Buffer.from(difference.encode(grid)));
    drawText(grid, 2, 0, '😀X', PLAIN);
    await terminal.write(Buffer.from(difference.encode(grid)));
    expect(terminal.text()).toBe('ab😀 Xfghijkl\n');
  });
});

describe('the bytes', () => {
  function drawLines(grid: CellGrid, lines: string[]): void {
    for (const [y, line] of lines.entries()) drawText(grid, 0, y, line, PLAIN);
  }

  function sent(before: string[], after: string[], depth: ColourDepth = 256): string {
    const difference = new CellDifference(depth);
    const grid = new CellGrid(20, before.length);
    drawLines(grid, before);
    difference.encode(grid);
    grid.clear();
    drawLines(grid, after);
    return JSON.stringify(difference.encode(grid).toString('utf8')).slice(1, -1).replaceAll('\\u001b', 'E');
  }

  it.each([
    ['nothing changed', ['abc'], ['abc'], ''],
    ['one cell', ['abc', ''], ['aXc', ''], '\\b\\bX'],
    ['the first cell', ['abc'], ['Xbc'], '\\rX'],
    ['a small gap is drawn again', ['abcdef'], ['XbcdXf'], '\\rXbcdX'],
    ['a wide gap is skipped', ['abcdefgh'], ['XbcdefgX'], '\\rXE[6CX'],
    ['the start of the next row', ['abc', 'def'], ['Xbc', 'Xef'], 'E[HX\\r\\nX'],
    ['the same column below', ['abc', 'def'], ['Xbc', 'dXf'], 'E[HXE[BX'],
    ['a short end is blanked', ['abc'], ['a'], '\\b\\b  '],
    ['a long end is erased', ['abcdefgh'], ['a'], 'E[7DE[K'],
    ['after the last column the cursor is unknown', ['', 'a'], [`${' '.repeat(19)}X`, 'X'], 'E[;20HXE[2HX'],
  ])('%s', (_, before, after, bytes) => {
    expect(sent(before, after)).toBe(bytes);
  });

  it('give colours as the depth has them', () => {
    const of = (depth: ColourDepth) => {
      const grid = new CellGrid(3, 1);
      grid.set(0, 0, 0x61, foreground(196) | background(21) | BOLD);
      return new CellDifference(depth).encode(grid).toString('latin1').split('[2J')[1];
    };
    expect(of(256)).toBe('\u001b[1;38;5;196;48;5;21ma');
    expect(of(16)).toBe('\u001b[1;31;44ma');
    expect(of(0)).toBe('\u001b[1ma');
  });

  it('are plain ASCII for terminals that have no more', () => {
    const grid = new CellGrid(24, 1);
    drawText(grid, 0, 0, '┌──┐│█⣿ Grüße 日 naïve …', PLAIN);
    const bytes = new CellDifference(256, true).encode(grid).toString('latin1').split('[2J')[1];
    expect(bytes).toBe('+--+|#: Gruse ?? naive ~');
    expect(gridText(grid)).toContain('Grüße');
  });
});
