import fc from 'fast-check';
import { expect, test } from 'vitest';
import { SharedKeys } from '../../../src/engine/lane/shared-keys.ts';

const ON = 0x93;
const OFF = 0x83;
const KEY = 60;

/** Who does what; a `silence` is a note-off that stands in no song. */
const acts = fc.array(fc.constantFrom('song on', 'song off', 'visitor on', 'visitor off', 'silence'), {
  maxLength: 30,
  size: 'max',
});

test('a key sounds as long as one of two holds it, and in the end every strike has its note-off', () => {
  fc.assert(
    fc.property(acts, fc.boolean(), (list, offByVelocity) => {
      const keys = new SharedKeys();
      const off = offByVelocity ? ON : OFF;
      // The players, each for itself, and a receiver that counts what comes.
      let song = 0;
      let visitor = 0;
      let receiver = 0;
      let strikes = 0;
      for (const act of list) {
        const isVisitor = act.startsWith('visitor');
        const isOn = act.endsWith('on');
        if (act === 'song on') song += 1;
        else if (act === 'visitor on') visitor += 1;
        else if (act === 'song off') song = Math.max(0, song - 1);
        else if (act === 'visitor off') visitor = Math.max(0, visitor - 1);
        else if (song > 0) song -= 1;
        else visitor = Math.max(0, visitor - 1);
        if (isOn) strikes += 1;
        const status = isOn ? ON : off;
        const velocity = isOn ? 1 : 0;
        if (!keys.keeps(status, KEY, velocity, isVisitor, act === 'song off')) {
          const more = keys.wrote(status, KEY, velocity, isVisitor);
          receiver += isOn ? 1 : 0;
          if (!isOn) receiver = Math.max(0, receiver - 1);
          receiver -= more;
          expect(receiver).toBeGreaterThanOrEqual(0);
        }
        expect(receiver > 0, act).toBe(song + visitor > 0);
        expect(receiver).toBeLessThanOrEqual(strikes);
      }
      // The receiver is gone: nobody holds a key any more, and nothing is owed.
      keys.clear();
      for (const isVisitor of [false, true]) {
        expect(keys.keeps(off, KEY, 0, isVisitor, true)).toBe(false);
        expect(keys.wrote(off, KEY, 0, isVisitor)).toBe(0);
      }
    }),
    { numRuns: 500 },
  );
});
