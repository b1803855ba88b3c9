import { expect, test } from 'vitest';
import { barChart } from '../../../src/core/report/bar-chart.ts';

const chart = (values: number[], more: Partial<Parameters<typeof barChart>[1]> = {}) =>
  barChart(values, { rows: 1, top: 1, ascii: false, topLabel: '', bottomLabel: '', ...more });

test('one column a value, in eighths of a cell; whatever is above nothing shows, and no more than all', () => {
  const eighths = Array.from({ length: 9 }, (_, n) => n / 8);
  expect(chart(eighths)).toEqual([' │ ▁▂▃▄▅▆▇█']);
  expect(chart([0.0001, 1.5, -1, Number.NaN, 0.19])).toEqual([' │▁█  ▂']);
  expect(chart([1, 2], { top: 2 })).toEqual([' │▄█']);
  // Where there is no top there is nothing to show of.
  expect(chart([1, 2], { top: 0 })).toEqual([' │']);
});

test('in ASCII in quarters of a cell', () => {
  expect(chart([0, 0.25, 0.5, 0.75, 1], { ascii: true })).toEqual([' | .:|#']);
});

test('several rows high, from the top down, labelled at both edges and nowhere between', () => {
  const lines = chart([1, 0.5, 0.25, 0.7], { rows: 4, topLabel: '100 %', bottomLabel: '0 %' });
  expect(lines).toEqual(['100 % │█', '      │█  ▆', '      │██ █', '  0 % │████']);
  expect(chart([1], { rows: 2, topLabel: 'a', bottomLabel: 'long' })).toEqual(['   a │█', 'long │█']);
});
