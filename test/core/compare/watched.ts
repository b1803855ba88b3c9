import { expect } from 'vitest';
import type { TimedChunk } from '../../../src/core/capture/byte-dump.ts';
import type { ComparisonDocument } from '../../../src/core/compare/comparison-document.ts';
import { LiveComparison } from '../../../src/core/compare/live-comparison.ts';
import { LiveNews } from '../../../src/core/compare/live-words.ts';
import { FAULT_NAMES } from '../../../src/core/midi/stream-fault.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';

export const NAMES = { song: 'song.mid', heard: 'stdin', faults: FAULT_NAMES };

/** The lines written while a recording comes in, as often looked at as the program does or less, and the page at its end. */
export function watched(chunks: readonly TimedChunk[], song: Timeline, lookMicros = 250_000) {
  const live = new LiveComparison(song, NAMES);
  const news = new LiveNews();
  const lines: string[] = [];
  let next = lookMicros;
  for (const { micros, bytes } of chunks) {
    for (; micros > next; next += lookMicros) lines.push(...news.take(live.look(next)));
    live.feed(bytes, micros);
  }
  for (let n = 0; n < 6; n += 1) lines.push(...news.take(live.look(next + n * lookMicros)));
  return { lines, page: live.whole() };
}

const NOTHING = { missing: 0, added: 0, changed: 0, late: 0 };

export function expectSound({ lines, page }: { lines: string[]; page: ComparisonDocument }): void {
  expect(lines).toEqual([]);
  expect(page).toMatchObject({
    notes: NOTHING,
    offs: { missing: 0 },
    state: [],
    faults: {},
    causes: [],
    hanging: [],
  });
  expect(page.verdict).not.toBe('differs');
}
