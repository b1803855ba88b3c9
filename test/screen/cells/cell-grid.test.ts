import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { CellGrid, foreground, PLAIN, SPACE, WIDE_TAIL } from '../../../src/screen/cells/cell-grid.ts';
import { cellWidth } from '../../../src/screen/cells/cell-width.ts';
import { drawText, textWidth } from '../../../src/screen/cells/draw-text.ts';
import { gridText } from '../../../src/screen/cells/grid-text.ts';
import { fillArea } from '../../support/fill-area.ts';

describe('text in cells', () => {
  it('is cut at its width and at the edge; a wide character that does not fit is left out', () => {
    const grid = new CellGrid(8, 3);
    expect(drawText(grid, 1, 0, 'a日本b', PLAIN)).toBe(6);
    expect(drawText(grid, 0, 1, '日本語', PLAIN, 5)).toBe(5);
    expect(drawText(grid, 6, 2, 'xyz', PLAIN)).toBe(2);
    expect(gridText(grid)).toBe(' a日本b\n日本…\n      x…');
  });

  it('that begins left of the grid shows its rest', () => {
    const grid = new CellGrid(4, 1);
    drawText(grid, -2, 0, 'abcdef', PLAIN, 6);
    expect(gridText(grid)).toBe('cdef');
    drawText(grid, -1, 0, '日x', PLAIN, 3);
    expect(gridText(grid)).toBe(' xef');
  });

  it('leaves out what takes no column', () => {
    const grid = new CellGrid(8, 1);
    drawText(grid, 0, 0, 'a\u0301\u200b\u001bb', PLAIN);
    expect(gridText(grid)).toBe('ab');
    expect(textWidth('a\u0301\u200b\u001bb日')).toBe(4);
  });
});

describe('wide characters', () => {
  it('leave a space where one half is written over', () => {
    const grid = new CellGrid(6, 1);
    drawText(grid, 0, 0, '日本語', PLAIN);
    grid.set(1, 0, 0x61, PLAIN);
    grid.set(2, 0, 0x62, PLAIN);
    grid.setWide(3, 0, 0x65e5, PLAIN);
    expect([...grid.glyph]).toEqual([SPACE, 0x61, 0x62, 0x65e5, WIDE_TAIL, SPACE]);
  });

  it('are whole or not there, whatever is drawn, clipped or copied', () => {
    const action = fc.record({
      kind: fc.constantFrom('text', 'fill', 'copy', 'clip'),
      x: fc.integer({ min: -3, max: 12 }),
      y: fc.integer({ min: -1, max: 3 }),
      width: fc.integer({ min: 0, max: 8 }),
      text: fc.constantFrom('日本語', 'a日', 'xyz'),
    });
    fc.assert(
      fc.property(fc.array(action), (actions) => {
        const grid = new CellGrid(10, 3);
        const other = new CellGrid(10, 3);
        for (let y = 0; y < 3; y++) drawText(other, y, y, '日本日本', PLAIN);
        for (const { kind, x, y, width, text } of actions) {
          const area = { x, y, width, height: 2 };
          if (kind === 'text') drawText(grid, x, y, text, PLAIN, width);
          if (kind === 'fill') fillArea(grid, area, PLAIN);
          if (kind === 'copy') grid.copyArea(other, area);
          if (kind === 'clip') grid.clip(width === 0 ? undefined : area);
        }
        for (const [at, glyph] of grid.glyph.entries()) {
          if (glyph === WIDE_TAIL) expect(at % 10 > 0 && cellWidth(grid.glyph[at - 1]!) === 2).toBe(true);
          if (cellWidth(glyph) === 2) expect(at % 10 < 9 && grid.glyph[at + 1] === WIDE_TAIL).toBe(true);
        }
      }),
      { numRuns: 1000 },
    );
  });
});

describe('clips', () => {
  it('let nothing through outside the open area, until it is opened again', () => {
    const grid = new CellGrid(5, 3);
    grid.clip({ x: 1, y: 1, width: 2, height: 5 });
    fillArea(grid, { x: 0, y: 0, width: 9, height: 9 }, foreground(3), 0x23);
    expect(gridText(grid)).toBe('\n ##\n ##');
    grid.clip();
    grid.set(4, 0, 0x23, PLAIN);
    expect(gridText(grid)).toBe('    #\n ##\n ##');
  });
});
