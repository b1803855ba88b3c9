import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { forTerminal } from '../../../src/cli/output/terminal-text.ts';

const terminal = (columns: number) => ({ isTTY: true, columns });

describe('text on a terminal', () => {
  it('goes on below between words, set in by two', () => {
    const text =
      'short\n  - A note hangs on channel 12, key 69, at bar 14.\n  wirepit play --mute 5,15 songs/tangled-nets.mid\n';
    expect(forTerminal(text, terminal(34))).toBe(
      'short\n  - A note hangs on channel 12,\n    key 69, at bar 14.\n  wirepit play --mute 5,15 songs/tangled-nets.mid\n',
    );
  });

  it('is left alone in a pipe, and on a terminal that does not tell its width', () => {
    const text = 'word '.repeat(50);
    for (const stream of [{ isTTY: false, columns: 40 }, terminal(0), terminal(undefined as never)]) {
      expect(forTerminal(text, stream)).toBe(text);
    }
  });

  test('says the same words in the same order, in lines that fit', () => {
    const words = fc.array(fc.stringMatching(/^[a-z,.]{1,12}$/), { maxLength: 60 });
    fc.assert(
      fc.property(
        words,
        fc.integer({ min: 30, max: 120 }),
        fc.integer({ min: 0, max: 6 }),
        (all, columns, indent) => {
          const text = `${' '.repeat(indent)}${all.join(' ')}`;
          const shown = forTerminal(text, terminal(columns));
          expect(shown.split(/\s+/).filter(Boolean)).toEqual(all);
          for (const line of shown.split('\n')) expect(line.length).toBeLessThanOrEqual(columns);
        },
      ),
    );
  });
});
