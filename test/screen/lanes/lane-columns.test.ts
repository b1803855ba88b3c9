import { expect, test } from 'vitest';
import { laneColumnsFor } from '../../../src/screen/lanes/lane-columns.ts';
import { laneHeadings } from '../../../src/screen/lanes/lane-headings.ts';

test('at every width from 20 up the parts of a lane stand in order and inside it', () => {
  for (let width = 20; width <= 300; width += 1) {
    const lane = laneColumnsFor(width);
    const spans: [string, number, number][] = [
      ['cursor', lane.cursor, 1],
      ['number', lane.number, 2],
      ['sign', lane.sign, 1],
    ];
    if (lane.heldBack !== lane.sign) spans.push(['held back', lane.heldBack, 1]);
    expect(lane.nameWidth === 0 || lane.nameWidth >= 4, `width ${width}: no room but for an ellipsis`).toBe(
      true,
    );
    if (lane.nameWidth > 0) spans.push(['name', lane.name, lane.nameWidth], ['changed', lane.changed, 1]);
    spans.push(['strip', lane.strip, lane.stripWidth]);
    if (lane.count >= 0) spans.push(['count', lane.count, 2], ['stuck', lane.stuck, 1]);
    if (lane.pedal >= 0) spans.push(['pedal', lane.pedal, 1], ['bend', lane.bend, 3]);
    if (lane.volumeWidth > 0) spans.push(['volume', lane.volume, lane.volumeWidth]);
    let end = 0;
    for (const [name, at, length] of spans) {
      expect(at, `${name} at width ${width}`).toBeGreaterThanOrEqual(end);
      end = at + length;
    }
    expect(end, `width ${width}`).toBeLessThanOrEqual(width);
    expect([16, 32, 64, 128]).toContain(lane.stripWidth);
  }
});

test('80 columns hold the longest General MIDI name whole', () => {
  expect(laneColumnsFor(80).nameWidth).toBeGreaterThanOrEqual('Acoustic Guitar (steel)'.length);
});

test('the headings stand above what they name', () => {
  const lane = laneColumnsFor(80);
  const heading = laneHeadings(80);
  expect(heading.indexOf('program')).toBe(lane.name);
  expect(heading.indexOf('C4')).toBe(lane.strip + 15);
  expect(heading.indexOf('vol')).toBe(lane.volume + 2);
});
