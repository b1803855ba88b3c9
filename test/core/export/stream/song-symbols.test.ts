import { expect, test } from 'vitest';
import { SongSymbol } from '../../../../src/core/export/stream/song-symbol.ts';
import { songSymbolsOf } from '../../../../src/core/export/stream/song-symbols.ts';
import { NOTHING } from '../../../../src/core/export/stream/wire-messages.ts';

/** Messages of one byte each, `micros` after the first; a unit is 10 µs, a step ten units, a byte three. */
function symbolsOf(micros: readonly number[], burstUnits = 1000) {
  const messages = {
    count: micros.length,
    bytes: Uint8Array.from(micros, (_, n) => n + 1),
    first: Uint32Array.from({ length: micros.length + 1 }, (_, n) => n),
    startMicros: Float64Array.from(micros),
  };
  const { symbols, errorMicros } = songSymbolsOf(messages, 10, 10, 3, burstUnits);
  const words = [...symbols].map((symbol) =>
    symbol > SongSymbol.wait ? `w${symbol - SongSymbol.wait}` : symbol,
  );
  return [words.join(' '), Math.round(errorMicros)];
}

test.each<[string, readonly number[], string, number]>([
  ['one at the beginning', [0], '1', 0],
  ['what follows without a rest', [0, 30, 60], '1 2 3', 0],
  ['less than half a step behind the one before', [0, 80], '1 2', 50],
  ['more than that: at the step that is nearest', [0, 81], '1 w1 2', 19],
  ['half way is rounded up', [0, 150], '1 w2 2', 50],
  ['on a step', [0, 300], '1 w3 2', 0],
  ['steps are counted from the steps before', [0, 140, 280, 420], '1 w1 2 w2 3 w1 4', 40],
  ['a wait is of 255 steps at most', [0, 51_100], '1 w255 w255 w1 2', 0],
])('%s', (_what, micros, symbols, error) => {
  expect(symbolsOf(micros)).toEqual([symbols, error]);
});

test('a burst is cut by a wait once it is so long', () => {
  const burst = Array.from({ length: 9 }, (_, n) => n * 30);
  expect(symbolsOf(burst)[0]).toBe('1 2 3 4 5 6 7 8 9');
  expect(symbolsOf(burst, 12)[0]).toBe('1 2 3 4 5 w2 6 7 8 9');
});

test('nothing is nothing', () => {
  expect(songSymbolsOf(NOTHING, 10, 10, 3, 100)).toEqual({ symbols: new Int32Array(0), errorMicros: 0 });
});
