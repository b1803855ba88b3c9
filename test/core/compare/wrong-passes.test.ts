import { describe, expect, test } from 'vitest';
import { heardFromChunks } from '../../../src/core/compare/hear.ts';
import { writtenMusic } from '../../../src/core/compare/written-music.ts';
import { WrongPasses } from '../../../src/core/compare/wrong-passes.ts';
import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import { type TimedBytes, timelineOf } from '../../support/timeline-of.ts';

const SECOND = 1_000_000;
const COUNT = 41;
/** From the beginning of one time to that of the next. */
const LASTS = 42 * SECOND;

/** A note a second, each of a key of its own; a tick is a millisecond. */
const MESSAGES = Array.from({ length: COUNT }, (_, n): TimedBytes => [(n + 5) * SECOND, 0x90, 20 + n, 64]);
const TIMELINE = {
  columns: timelineOf(MESSAGES),
  ticksPerQuarter: 500,
  tempoMap: { stretches: [{ tick: 0, microsPerQuarter: 500_000 }] },
} as unknown as Timeline;
const WRITTEN = writtenMusic(TIMELINE);

/** Notes of one time: from one to before another, less some, and in place of some a key that the song has nowhere. */
interface Time {
  readonly from?: number;
  readonly to?: number;
  readonly lost?: (n: number) => boolean;
  readonly strange?: (n: number) => boolean;
  /** When it begins: where nothing is said as many times behind the first as there were before it. */
  readonly at?: number;
}

function ends(...times: Time[]): number | undefined {
  const chunks = times.flatMap(
    ({ from = 0, to = COUNT, lost = () => false, strange = () => false, at }, time) =>
      MESSAGES.slice(from, to).flatMap(([micros, status, key, velocity], n) =>
        lost(from + n)
          ? []
          : [
              {
                micros: SECOND + (at ?? time * LASTS) + micros,
                bytes: Uint8Array.of(status!, strange(from + n) ? 120 : key!, velocity!),
              },
            ],
      ),
  );
  return new WrongPasses(TIMELINE, WRITTEN, heardFromChunks(chunks)).endOf(0);
}

describe('the note with which a song begins again that was played wrong', () => {
  test('is the one behind its last', () => {
    expect(ends({}, {})).toBe(41);
    expect(ends({ lost: (n) => n % 5 === 2 }, {})).toBe(33);
    expect(ends({ strange: (n) => n % 5 === 2 }, {})).toBe(41);
    expect(ends({})).toBeUndefined();
  });

  test('four notes of the next time are enough, and fewer are not', () => {
    expect([ends({}, { to: 4 }), ends({}, { to: 3 })]).toEqual([41, undefined]);
  });

  test('where some of its notes did not come as well', () => {
    const lost = (n: number) => n === 5;
    expect([ends({ lost }, { to: 4 }), ends({ lost }, { to: 3 })]).toEqual([40, undefined]);
    const last = (n: number) => n > 36;
    expect(ends({ lost: last }, {})).toBe(37);
  });

  test('it is not asked before as much came as the song has, or as long as it lasts, and four notes', () => {
    // Begun again after 26 of forty seconds: fifteen notes of that come in the song’s time and a fiftieth more.
    const soon = (to: number) => ends({ to: 25 }, { to, at: 26 * SECOND });
    expect([soon(8), soon(18), soon(19)]).toEqual([undefined, undefined, 25]);
  });

  test('the next time begins within the first quarter of the song', () => {
    // Of forty seconds the ninth is before a quarter, and the tenth is not.
    const from = (first: number) => ends({}, { from: first, at: LASTS - first * SECOND });
    expect([from(9), from(10)]).toEqual([41, undefined]);
  });

  test('it is over behind six tenths of it, where more comes then', () => {
    const to = (last: number) => ends({ to: last + 1 }, { at: (last + 2) * SECOND });
    expect([to(24), to(23)]).toEqual([25, undefined]);
  });

  test('half of the notes must be found', () => {
    const every = (kept: (n: number) => boolean) => ends({ strange: (n) => !kept(n) }, {});
    // 21 of 41, and 20: that of either half alone.
    expect([every((n) => n % 2 === 0), every((n) => n % 2 === 0 && n > 0)]).toEqual([41, undefined]);
  });
});
