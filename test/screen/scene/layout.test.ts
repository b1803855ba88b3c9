import { expect, test } from 'vitest';
import { layoutFor, SMALLEST } from '../../../src/screen/scene/layout.ts';

test('at every size from 40x12 up the areas follow one another and fill the screen', () => {
  for (let rows = SMALLEST.rows; rows <= 120; rows += 1) {
    for (const columns of [40, 60, 80, 120, 200, 300]) {
      const layout = layoutFor(columns, rows)!;
      const { title, position, markers, headings, lanes, wire, notebook, message, hint } = layout;
      let y = 0;
      for (const area of [title, position, markers, headings, lanes, wire, notebook, message, hint]) {
        expect(area).toMatchObject({ x: 0, y, width: columns });
        y += area.height;
      }
      expect(y).toBe(rows);
      expect(lanes.height).toBe((16 / layout.bands) * layout.laneRows);
      for (const needed of [title, position, wire, hint]) expect(needed.height).toBeGreaterThan(0);
    }
  }
});

test('80x24 has every line there is', () => {
  const { markers, headings, lanes, wire, message, bands } = layoutFor(80, 24)!;
  expect([markers.height, headings.height, lanes.height, wire.height, message.height, bands]).toEqual([
    1, 1, 16, 2, 1, 1,
  ]);
});

test('lanes grow to two rows at 120x40 and stand in two bands at 40x12', () => {
  expect(layoutFor(120, 40)).toMatchObject({ laneRows: 2, bands: 1 });
  expect(layoutFor(40, 12)).toMatchObject({ laneRows: 1, bands: 2 });
});

test('smaller than 40x12 there is no layout', () => {
  expect(layoutFor(39, 24)).toBeUndefined();
  expect(layoutFor(80, 11)).toBeUndefined();
});
