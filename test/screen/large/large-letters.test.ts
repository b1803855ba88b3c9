import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { CellGrid } from '../../../src/screen/cells/cell-grid.ts';
import { gridText } from '../../../src/screen/cells/grid-text.ts';
import { drawLarge, largeRoom, largeRows } from '../../../src/screen/large/draw-large.ts';
import { isDot, largeText } from '../../../src/screen/large/large-letters.ts';
import { drawLines, largeLines, rowsOf, scaleFor } from '../../../src/screen/large/large-lines.ts';

const rowsOfGrid = (grid: CellGrid) =>
  gridText(grid)
    .split('\n')
    .map((row) => row.trimEnd());

describe('large letters', () => {
  test('two dots to a cell, or one of #', () => {
    const blocks = new CellGrid(13, 4);
    drawLarge(blocks, 0, 0, 'H:', 0, { dot: 1, hasBlocks: true });
    expect(rowsOfGrid(blocks)).toEqual(['█   █  ▄▄', '█▄▄▄█  ▀▀', '█   █  ██', '▀   ▀']);
    const ascii = new CellGrid(13, 7);
    drawLarge(ascii, 0, 0, 'L1', 0, { dot: 1, hasBlocks: false });
    expect(rowsOfGrid(ascii)).toEqual([
      '#       #',
      '#      ##',
      '#       #',
      '#       #',
      '#       #',
      '#       #',
      '#####  ###',
    ]);
  });

  test('each is unlike every other, and none is empty but the blank', () => {
    const letters = [...'ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.,:;-+\'"!?&()/#%'];
    const pictures = letters.map((letter) => {
      let picture = '';
      for (let row = 0; row < 7; row += 1) {
        for (let column = 0; column < 6; column += 1) picture += isDot(letter, column, row) ? '#' : ' ';
      }
      return picture;
    });
    expect(new Set(pictures).size).toBe(letters.length);
    for (const picture of pictures) expect(picture.trim()).not.toBe('');
    for (const picture of pictures)
      for (let row = 0; row < 7; row += 1) expect(picture[row * 6 + 5]).toBe(' ');
  });

  test('marks above letters are left out; what has no likeness has no large form', () => {
    expect(largeText('Für Élise – “no. 3”')).toBe('FUR ELISE - "NO. 3"');
    expect(largeText('夜の渡し')).toBeUndefined();
    expect(largeText('♪')).toBeUndefined();
  });

  test('lines fit the area, whatever its size and the words', () => {
    const words = fc.string({ unit: fc.constantFrom(...'AB c.'), maxLength: 60 });
    const size = fc.record({
      width: fc.integer({ min: 3, max: 200 }),
      height: fc.integer({ min: 1, max: 60 }),
    });
    fc.assert(
      fc.property(words, size, fc.boolean(), (text, { width, height }, hasBlocks) => {
        const area = { x: 0, y: 0, width, height };
        const scale = scaleFor(area, hasBlocks);
        const lines = largeLines(text, height, area, scale);
        const large = lines.filter(({ isLarge }) => isLarge);
        for (const line of large) expect(line.text.length).toBeLessThanOrEqual(largeRoom(width - 2, scale));
        if (large.length > 0) expect(rowsOf(lines, scale)).toBeLessThanOrEqual(height);
        const grid = new CellGrid(width, height);
        expect(drawLines(grid, area, 0, lines, 0, scale)).toBeLessThanOrEqual(height);
      }),
    );
  });

  test('at 80x24 they are at least four rows high, at 160x48 twice that', () => {
    expect(largeRows(scaleFor({ x: 0, y: 0, width: 80, height: 22 }, true))).toBe(4);
    expect(largeRows(scaleFor({ x: 0, y: 0, width: 160, height: 46 }, true))).toBe(7);
  });
});
