import type { ComparisonDocument } from '../../../src/core/compare/comparison-document.ts';
import { renderComparison } from '../../../src/core/compare/render-comparison.ts';
import { NO_SYSEX } from '../../../src/core/compare/sysex-document.ts';

/** Differences of one bar: none but what is given. */
export const bar = (number: number, some: Partial<ComparisonDocument['bars'][number]>) => ({
  bar: number,
  missing: 0,
  added: 0,
  changed: 0,
  late: 0,
  ...some,
});

/** A comparison of nothing but what is given. */
export function comparisonOf(some: Partial<ComparisonDocument>): ComparisonDocument {
  return {
    schema: 'wirepit-compare/1',
    song: 'song.mid',
    heard: 'heard.log',
    verdict: 'differs',
    isTheSong: true,
    notes: { song: 100, heard: 100, matched: 100, missing: 0, added: 0, changed: 0, late: 0, unheard: 0 },
    span: { fromBar: 1, toBar: 20, firstBar: 1, lastBar: 20 },
    offs: { missing: 0, added: 0 },
    clock: { ppm: 0, ppmUncertainty: 1, law: 'tempo-map', lostPerMessageMicros: 0 },
    lateness: null,
    standstills: { count: 0, longestMicros: 0, notes: 0 },
    state: [],
    sysEx: NO_SYSEX,
    faults: {},
    causes: [],
    bars: [],
    hanging: [],
    differences: [],
    ...some,
  };
}

/** Lines of the page. */
export const page = (some: Partial<ComparisonDocument>, { ascii = true, width = 60, lastBar = 20 } = {}) =>
  renderComparison(comparisonOf(some), { ascii, width, lastBar, clean: (text) => text });
