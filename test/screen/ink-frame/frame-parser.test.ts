import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { CellGrid, WIDE_TAIL } from '../../../src/screen/cells/cell-grid.ts';
import { gridText } from '../../../src/screen/cells/grid-text.ts';
import { parseFrame } from '../../../src/screen/ink-frame/frame-parser.ts';
import { openVirtualTerminal } from '../../support/virtual-terminal.ts';

/** Pieces as Ink's output has them (SGR from chalk), and what song text or a component could add. */
const PIECES = [
  'abc',
  ' ',
  '─│┌┐',
  '日本',
  'é',
  '█▂',
  '\u001b[31m',
  '\u001b[39m',
  '\u001b[1m',
  '\u001b[2m',
  '\u001b[22m',
  '\u001b[3m',
  '\u001b[23m',
  '\u001b[4m',
  '\u001b[24m',
  '\u001b[7m',
  '\u001b[27m',
  '\u001b[44m',
  '\u001b[49m',
  '\u001b[94m',
  '\u001b[103m',
  '\u001b[38;5;123m',
  '\u001b[48;5;200m',
  '\u001b[1;4;38;5;9;48;5;17m',
  '\u001b[m',
  '\u001b[0m',
  '\n',
  '\u001b]52;c;aGk=\u0007',
  '\u001b]0;title\u001b\\',
  '\u001b[?25l',
  '\u001b[?2026h',
];

describe('a frame cut into cells', () => {
  it('is what a terminal emulator shows of it, colours and wide characters too', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(fc.constantFrom(...PIECES), { maxLength: 40 }), async (pieces) => {
        // Frames fit into the width, as Ink's do; more lines than rows are cut.
        let width = 0;
        const frame = pieces
          .filter((piece) => {
            if (piece === '\n') width = 0;
            else if (!piece.startsWith('\u001b')) width += piece.length * (piece === '日本' ? 2 : 1);
            return width <= 40;
          })
          .join('');
        const lines = frame.split('\n').slice(0, 6).join('\n');
        const terminal = openVirtualTerminal(42, 6);
        await terminal.write(lines.replaceAll('\n', '\r\n'));
        const grid = new CellGrid(42, 6);
        parseFrame(frame, grid);
        const shown = terminal.grid();
        expect([...grid.glyph]).toEqual([...shown.glyph]);
        // A wide character's second cell has no colours of its own in the emulator.
        const styles = (cells: CellGrid) =>
          Array.from(cells.style, (style, at) => (cells.glyph[at] === WIDE_TAIL ? 0 : style));
        expect(styles(grid)).toEqual(styles(shown));
        terminal.close();
      }),
      { numRuns: 300 },
    );
  });

  it('drops what lies outside, and whole sequences that draw nothing', () => {
    const grid = new CellGrid(4, 2);
    parseFrame(
      'ab日本\n\u001b]8;;http://example.org\u0007\u001b[5;5H\u001bP+q544e\u001b\\\u001b(B\u0007x\u001b[38;2;255;0;0my\nthird\u001b[',
      grid,
    );
    expect(gridText(grid)).toBe('ab日\nxy');
    // 255, 0, 0 is colour 196 of the cube (16 + 36 x 5).
    expect(grid.style[5]).toBe(197);
  });

  it('never throws and never leaves half a wide character, whatever the text', () => {
    fc.assert(
      fc.property(
        fc.string({ unit: 'binary', maxLength: 200 }),
        fc.integer({ min: 1, max: 9 }),
        (text, columns) => {
          const grid = new CellGrid(columns, 3);
          parseFrame(text, grid);
          for (const [at, glyph] of grid.glyph.entries()) {
            if (glyph !== WIDE_TAIL) continue;
            expect(at % columns).toBeGreaterThan(0);
            expect(grid.glyph[at - 1]).not.toBe(WIDE_TAIL);
          }
        },
      ),
    );
  });
});
