import { describe, expect, test } from 'vitest';
import type { ComparisonDocument, DifferenceLine } from '../../../src/core/compare/comparison-document.ts';
import type { LiveSign } from '../../../src/core/compare/live-signs.ts';
import type { LiveView } from '../../../src/core/compare/live-view.ts';
import { differenceWords, LiveNews, liveWords } from '../../../src/core/compare/live-words.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { compareSong } from './compare-songs.ts';

const SONG = buildTimeline(readSong(compareSong()));

const line = (beat: number): DifferenceLine => ({
  kind: 'missing',
  what: 'note',
  bar: 3,
  beat,
  channel: 2,
  note: 'C5',
  seconds: 1,
  heard: null,
});

function view(
  differences: readonly DifferenceLine[],
  codes: readonly string[] = [],
  signs: readonly LiveSign[] = [],
): LiveView {
  const causes = codes.map((code) => ({ code, text: `${code} it is`, evidence: 'seen', look: '' }));
  const notes = { song: 9, heard: 9, matched: 8, missing: differences.length, added: 0, changed: 0, late: 0 };
  const soFar = { differences, causes, notes, lateness: null } as unknown as ComparisonDocument;
  return { state: 'following', songMicros: 2_000_000, soFar, signs };
}

describe('what is told while a recording comes in', () => {
  test('a difference once two views have it, and once only', () => {
    const news = new LiveNews();
    expect(news.take(view([line(1)]))).toEqual([]);
    expect(news.take(view([line(1), line(2)]))).toEqual(['3:1 missing: C5 on channel 2']);
    expect(news.take(view([line(2)]))).toEqual(['3:2 missing: C5 on channel 2']);
    expect(news.take(view([line(1), line(2)]))).toEqual([]);
  });

  test('one that came and went is not told; a view is looked at once', () => {
    const news = new LiveNews();
    news.take(view([line(1)]));
    const empty = view([]);
    expect(news.take(empty)).toEqual([]);
    const again = view([line(1)]);
    expect(news.take(again)).toEqual([]);
    expect(news.take(again)).toEqual([]);
  });

  test('no more than ten of them; causes at once', () => {
    const news = new LiveNews();
    const many = Array.from({ length: 30 }, (_, beat) => line(beat));
    news.take(view(many));
    expect(news.take(view(many, ['bytes-lost']))).toHaveLength(11);
    expect(news.take(view(many, ['bytes-lost']))).toEqual([]);
  });

  test('late notes and a time that has gone off: three of a kind, each when two views have it', () => {
    const news = new LiveNews();
    const late = (beat: number): LiveSign => ({
      kind: 'late',
      bar: 2,
      beat,
      channel: 1,
      note: 'C4',
      micros: 31_000,
    });
    const drift = (micros: number): LiveSign => ({ kind: 'drift', bar: 4, beat: 1, micros });
    news.take(view([], [], [late(1), late(2), late(3), late(4), drift(-20_500)]));
    expect(news.take(view([], [], [late(1), late(2), late(3), late(4), drift(-31_000)]))).toEqual([
      '2:1 late by 31.0 ms: C4 on channel 1',
      '2:2 late by 31.0 ms: C4 on channel 1',
      '2:3 late by 31.0 ms: C4 on channel 1',
      '4:1 from here on notes come 31.0 ms early',
    ]);
  });

  test('time that is seen to be wrong twice is told, whichever way it is seen', () => {
    const news = new LiveNews();
    const uneven: LiveSign = { kind: 'uneven', bar: 4, beat: 2, micros: 22_000 };
    expect(news.take(view([], [], [{ kind: 'drift', bar: 4, beat: 1, micros: 21_000 }]))).toEqual([]);
    expect(news.take(view([], [], [uneven]))).toEqual([
      '4:2 notes come unevenly: 22.0 ms between the early and the late ones',
    ]);
    expect(news.take(view([], [], [{ ...uneven, micros: 30_000 }]))).toEqual([]);
  });

  test('a note that has not come, and one that was not let go, each once', () => {
    const news = new LiveNews();
    const at = { bar: 2, beat: 1, channel: 1, note: 'C4' };
    const signs: LiveSign[] = [
      { kind: 'overdue', ...at },
      { kind: 'held', ...at },
    ];
    news.take(view([], [], signs));
    expect(news.take(view([], [], signs))).toEqual([
      '2:1 overdue: C4 on channel 1 has not come',
      '2:1 not let go: C4 on channel 1',
    ]);
    expect(news.take(view([], [], signs))).toEqual([]);
  });

  test('what was changed says what it came as', () => {
    expect(
      differenceWords({ ...line(4), kind: 'changed', what: 'velocity', heard: 'velocity 9 for 80' }),
    ).toBe('3:4 changed velocity: C5 on channel 2 came as velocity 9 for 80');
  });

  test('how it stands, in ever fewer words', () => {
    const texts = liveWords(view([line(1)]), SONG);
    expect(texts[0]).toMatch(/^2:1 {2}8 of 9 as written, 1 missing, 0 added, 0 changed$/);
    for (const [n, text] of texts.entries()) {
      if (n > 0) expect(text.length).toBeLessThanOrEqual(texts[n - 1]!.length);
    }
    expect(liveWords(undefined, SONG)[0]).toContain('waiting');
    expect(liveWords({ state: 'other', songMicros: -1, soFar: undefined, signs: [] }, SONG)[0]).toBe(
      'this is not the song',
    );
  });
});

describe('each kind of news', () => {
  const base = {
    differences: [],
    causes: [],
    state: [],
    notes: {},
    lateness: null,
  } as unknown as ComparisonDocument;
  const seen = (soFar: object, signs: readonly LiveSign[] = []): LiveView => ({
    state: 'following',
    songMicros: 0,
    soFar: { ...base, ...soFar } as ComparisonDocument,
    signs,
  });
  /** What the second of two such views tells. */
  const told = (soFar: object, again: object = soFar) => {
    const news = new LiveNews();
    expect(news.take(seen(soFar))).toEqual([]);
    return news.take(seen(again));
  };

  test('that wirepit stood still, once for each time that it did', () => {
    const still = (count: number, longestMicros = 31_000) => ({
      standstills: { count, longestMicros, notes: 0 },
    });
    expect(told(still(2))).toEqual([
      'wirepit itself has stood still 2 times, 31.0 ms at the longest: when notes came then is not judged',
    ]);
    expect(told(still(1))[0]).toContain('1 time,');
    expect(told(still(0))).toEqual([]);
    expect(told(still(1), still(2))).toEqual([]);
    expect(told(still(1), still(1, 90_000))).toHaveLength(1);
  });

  test('a setting, three at the most', () => {
    const state = (what: string, heard: number | null) => ({
      channel: 2,
      what,
      notes: 4,
      written: 100,
      heard,
      bar: 7,
    });
    expect(told({ state: [state('controller 7', 90), state('program', null)] })).toEqual([
      'bar 7 sounds otherwise: channel 2, controller 7 is 90 instead of 100',
      'bar 7 sounds otherwise: channel 2, program is not set instead of 100',
    ]);
    // Of one setting it is the same news, whatever it is by now.
    expect(told({ state: [state('program', 1)] }, { state: [state('program', 2)] })).toHaveLength(1);
    expect(told({ state: ['a', 'b', 'c', 'd'].map((what) => state(what, 1)) })).toHaveLength(3);
  });

  test('a SysEx, where it is', () => {
    const one = { kind: 'missing', name: 'master volume', seconds: 3, bar: 2, beat: 4, notes: 3 };
    const news = told({ sysEx: { differences: [one] } }, { sysEx: { differences: [{ ...one, notes: 9 }] } });
    expect(news).toHaveLength(1);
    expect(news[0]).toMatch(/^2:4 /);
    expect(
      told({ sysEx: { differences: [one] } }, { sysEx: { differences: [{ ...one, seconds: 4 }] } }),
    ).toEqual([]);
  });

  test('of each kind of sign three, of differences ten', () => {
    const news = new LiveNews();
    const held = (beat: number): LiveSign => ({ kind: 'held', bar: 1, beat, channel: 1, note: 'C4' });
    const overdue = (beat: number): LiveSign => ({ kind: 'overdue', bar: 1, beat, channel: 1, note: 'C4' });
    const signs = [1, 2, 3, 4].flatMap((beat) => [held(beat), overdue(beat)]);
    news.take(seen({}, signs));
    expect(news.take(seen({}, signs))).toHaveLength(6);
  });

  test('time off in the other direction is another thing', () => {
    const news = new LiveNews();
    const drift = (micros: number): LiveSign => ({ kind: 'drift', bar: 4, beat: 1, micros });
    news.take(seen({}, [drift(21_000)]));
    expect(news.take(seen({}, [drift(22_000)]))).toEqual(['4:1 from here on notes come 22.0 ms late']);
    expect(news.take(seen({}, [drift(-23_000)]))).toEqual(['4:1 from here on notes come 23.0 ms early']);
    expect(news.take(seen({}, [drift(23_000)]))).toEqual([]);
  });

  test('a note that is late is one, however late it is by now', () => {
    const news = new LiveNews();
    const late = (micros: number): LiveSign => ({
      kind: 'late',
      bar: 4,
      beat: 1,
      channel: 1,
      note: 'C4',
      micros,
    });
    news.take(seen({}, [late(21_000)]));
    expect(news.take(seen({}, [late(22_000)]))).toHaveLength(1);
    expect(news.take(seen({}, [late(23_000)]))).toEqual([]);
  });

  test('a view without a document has its signs', () => {
    const news = new LiveNews();
    const signs: LiveSign[] = [{ kind: 'held', bar: 1, beat: 1, channel: 1, note: 'C4' }];
    news.take({ state: 'waiting', songMicros: -1, soFar: undefined, signs });
    expect(news.take({ state: 'waiting', songMicros: -1, soFar: undefined, signs })).toHaveLength(1);
  });
});

describe('how it stands', () => {
  test('bar and beat, counts, and how late', () => {
    const lateness = { p99Micros: 4200 } as ComparisonDocument['lateness'];
    const one = view([line(1)]);
    const [first, second, third, last] = liveWords({ ...one, soFar: { ...one.soFar!, lateness } }, SONG);
    expect(first).toBe('2:1  8 of 9 as written, 1 missing, 0 added, 0 changed, late 4.2 ms');
    expect(second).toBe('2:1  8 of 9 as written, 1 missing, 0 added, 0 changed');
    expect([third, last]).toEqual(['2:1  1 missing, 0 added', '2:1']);
  });

  test('or that nothing is known yet', () => {
    expect(liveWords({ state: 'waiting', songMicros: -1, soFar: undefined, signs: [] }, SONG)).toEqual([
      'waiting for the song to be told',
      'waiting',
    ]);
    expect(liveWords({ state: 'following', songMicros: 0, soFar: undefined, signs: [] }, SONG)).toEqual([
      '1:1',
    ]);
    expect(liveWords({ state: 'other', songMicros: -1, soFar: undefined, signs: [] }, SONG)[1]).toBe(
      'another song',
    );
  });
});

test('what is missing or too many: where, and what', () => {
  expect(differenceWords(line(4))).toBe('3:4 missing: C5 on channel 2');
  expect(differenceWords({ ...line(4), kind: 'added' })).toBe('3:4 added: C5 on channel 2');
});
