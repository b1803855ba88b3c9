import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { Clock6502 } from '../../../../src/core/export/player/6502-clock.ts';
import { PATHS_6502 } from '../../../../src/core/export/player/6502-paths.ts';
import type {
  PlayerClock,
  PlayerMake,
  PlayerPaths,
} from '../../../../src/core/export/player/player-clock.ts';
import { Z80Clock } from '../../../../src/core/export/player/z80-clock.ts';
import { Z80_PATHS } from '../../../../src/core/export/player/z80-paths.ts';

/**
 * The accounts of both players by worked examples, without a processor: at either clock (4 MHz and 1 MHz) a second has
 * 125,000 units, and a byte on the wire 40. The figures are added up from what a path costs (`*-paths.ts`); that these are
 * true is proved in an emulator (any-stream.test.ts).
 */
const MAKE: PlayerMake = { slotUnits: 41, unitsPerSecond: 125_000, ready: 'none', canStop: false };
const z80 = (more: Partial<PlayerMake> = {}) => new Z80Clock({ ...MAKE, ...more });
const m6502 = (more: Partial<PlayerMake> = {}) => new Clock6502({ ...MAKE, ...more });
type Act = keyof PlayerPaths | number | 'page';

/** After a first byte, and then some more at once: units from the last of them to the byte behind these acts. */
function gap(clock: PlayerClock, acts: readonly Act[], bytes = 1): number {
  let last = 0;
  for (let n = 0; n < bytes; n += 1) last = clock.send();
  for (const act of acts) {
    if (act === 'page') clock.page();
    else if (typeof act === 'number') clock.tick(act);
    else clock.take(act);
  }
  return clock.send() - last;
}
/** When the byte behind a step of the song leaves. */
function behindStep(clock: PlayerClock, units: number): number {
  clock.take('wait');
  clock.tick(units);
  return clock.send();
}
const many = (act: Act, count: number) => new Array<Act>(count).fill(act);

test('what the examples reckon with', () => {
  expect(Z80_PATHS).toMatchObject({ plain: 5, late: 2, wait: 6, tick: 6, tickOwing: 4, pair: 6, topEnd: 2 });
  expect(PATHS_6502).toMatchObject({ plain: 11, wait: 10, tick: 6, tickNear: 2, tickHigher: 1, tickRest: 6 });
});

test.each<[string, (more: Partial<PlayerMake>) => PlayerClock, number]>([
  // The Z80 sees a unit late that its account has run out; so does it with every byte.
  ['Z80', z80, 1],
  ['6502', m6502, 0],
])(
  '%s: where there is time, a byte leaves at its step of the grid, or a slot behind the one before',
  (_, clockOf, late) => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            burst: fc.integer({ min: 1, max: 3 }),
            // No shorter than what a burst has run past the grid.
            steps: fc.array(
              fc.oneof(fc.integer({ min: 130, max: 1200 }), fc.integer({ min: 250, max: 260 })),
              {
                minLength: 1,
                maxLength: 4,
              },
            ),
          }),
          { minLength: 1, maxLength: 12 },
        ),
        fc.constantFrom<PlayerMake['ready']>('none', 'high', 'low'),
        fc.boolean(),
        (song, ready, canStop) => {
          const slotUnits = ready === 'none' ? 41 : 42;
          const clock = clockOf({ slotUnits, ready, canStop });
          let [grid, free] = [slotUnits, slotUnits];
          for (const { burst, steps } of song) {
            for (let n = 0; n < burst; n += 1) {
              const due = Math.max(grid, free);
              expect(clock.send()).toBe(due + late);
              free = due + slotUnits;
            }
            for (const step of steps) {
              clock.take('wait');
              clock.tick(step);
              grid += step;
            }
          }
        },
      ),
      { numRuns: 60, seed: 4 },
    );
  },
);

describe('Z80: a byte that is late', () => {
  test('leaves two units behind what came before it; the next a slot behind it, and the grid stays where it is', () => {
    expect(gap(z80(), many('pair', 5))).toBe(41);
    expect(gap(z80(), many('pair', 6))).toBe(6 * 6 + 5 + 2);
    expect(gap(z80(), many('pair', 8))).toBe(8 * 6 + 5 + 2);
    const clock = z80();
    const first = clock.send();
    for (let n = 0; n < 8; n += 1) clock.take('pair');
    expect(clock.send() - first).toBe(55);
    expect(clock.send() - first).toBe(55 + 41);
    expect(behindStep(clock, 300) - first).toBe(300);
  });

  test('what is exactly in time is not late', () => {
    // 40 are left behind a byte, 5 of them for the next.
    expect(gap(z80(), [...many('pair', 4), 'status', 'whole', 'levelEnd'])).toBe(41);
    expect(gap(z80(), [...many('pair', 4), 'whole', 'topEnd', 'topEnd', 'topEnd'])).toBe(41);
    expect(gap(z80(), [...many('pair', 4), 'whole', 'longReference'])).toBe(24 + 5 + 7 + 5 + 2);
  });

  test('steps that a burst owes cost 4 each, and the one that pays all but nothing too; with a key 2 more', () => {
    // Ten bytes owe 410 units.
    const owed = ['wait', ...many(8, 19), 410 - 19 * 8] as const;
    expect(gap(z80(), owed, 10)).toBe(6 + 20 * 4 + 5 + 2);
    expect(gap(z80({ canStop: true }), owed, 10)).toBe(6 + 20 * 6 + 5 + 2);
    // A unit more is one that the grid is ahead: the last step waits.
    const paid = ['wait', ...many(8, 19), 411 - 19 * 8] as const;
    expect(gap(z80(), paid, 10)).toBe(6 + 19 * 4 + 6 + 5 + 2);
    expect(gap(z80({ canStop: true }), paid, 10)).toBe(6 + 19 * 6 + 8 + 5 + 2);
  });

  test('a far step is waited for until 255 units are left', () => {
    // 40 units are left behind a byte that owes 41. The step pays it, and costs 12 with the wait: 500 − 41 + 40 − 12.
    const behind = many('pair', 42);
    expect(gap(z80(), ['wait', 500, ...behind])).toBe(500 - 1 - 255 + 42 * 6 + 5 + 2);
    // 256 of them are one too many: a unit passes. With 255 none does.
    expect(gap(z80(), ['wait', 269, ...behind])).toBe(12 + 1 + 42 * 6 + 5 + 2);
    expect(gap(z80(), ['wait', 268, ...behind])).toBe(12 + 42 * 6 + 5 + 2);
    expect(gap(z80(), ['wait', 270, ...behind])).toBe(12 + 2 + 42 * 6 + 5 + 2);
    // 251 and the byte's 5 are one too many for 255, and for 256 they are not.
    const exactly = [...many('pair', 41), 'whole'] as const;
    expect(gap(z80(), ['wait', 269, ...exactly])).toBe(12 + 1 + 251 + 5 + 2);
    expect(gap(z80(), ['wait', 268, ...exactly])).toBe(12 + 251 + 5 + 2);
  });
});

test('Z80: an interface that is not ready is asked again, two units each, and the grid stays where it is', () => {
  // A byte takes 40, and is asked for a unit before it is written.
  const gaps = [30, 39, 40, 41, 42, 43].map((slotUnits) => gap(z80({ slotUnits, ready: 'low' }), []));
  expect(gaps).toEqual([42, 41, 42, 41, 42, 43]);
  expect(gap(z80({ slotUnits: 30 }), [])).toBe(30);
  // Asking costs two units more.
  expect(gap(z80({ ready: 'high' }), many('pair', 8))).toBe(8 * 6 + 7 + 2);
  const clock = z80({ slotUnits: 30, ready: 'high' });
  const first = clock.send();
  expect(clock.send() - first).toBe(42);
  expect(behindStep(clock, 300) - first).toBe(300);
});

describe('6502: a byte that is late', () => {
  test('leaves as it comes, the next a slot behind it, and the grid stays where it is', () => {
    expect(gap(m6502(), ['pair', 'pair'])).toBe(41);
    expect(gap(m6502(), ['pair', 'pair', 'page'])).toBe(11 + 31);
    expect(gap(m6502(), many('longReference', 4))).toBe(11 + 96);
    const clock = m6502();
    const first = clock.send();
    for (let n = 0; n < 4; n += 1) clock.take('longReference');
    expect(clock.send() - first).toBe(107);
    expect(clock.send() - first).toBe(107 + 41);
    expect(behindStep(clock, 300) - first).toBe(300);
  });

  test('so does the first, and one that is later than the register goes round', () => {
    const clock = m6502();
    for (let n = 0; n < 3; n += 1) clock.take('reference');
    expect(clock.send()).toBe(60);
    expect(gap(m6502(), many('reference', 16))).toBe(11 + 320);
  });

  test('its register goes round at 256: then it waits again, and the grid does not know', () => {
    const most = [...many('reference', 12), 'topEnd', 'topEnd'] as const;
    expect(gap(m6502(), most)).toBe(255);
    expect(gap(m6502(), [...most, 'page'])).toBe(256 + 41);
    const clock = m6502();
    const first = clock.send();
    for (let n = 0; n < 13; n += 1) clock.take('reference');
    expect(clock.send() - first).toBe(256 + 41);
    expect(behindStep(clock, 300) - first).toBe(256 + 300);
  });
});

describe('6502: a step', () => {
  const wait = PATHS_6502.plain + PATHS_6502.wait;
  test('behind which the grid still is costs 6; one that reaches it 2 more, and past the next byte another', () => {
    // Two bytes have run 41 past the grid. A reference behind the steps makes what they cost seen.
    const cost = (...steps: number[]) => gap(m6502(), ['wait', ...steps, 'reference'], 2) - wait - 20;
    expect([cost(40), cost(41), cost(81), cost(82), cost(83)]).toEqual([6, 8, 8, 9, 9]);
    expect(gap(m6502({ canStop: true }), ['wait', 40, 'reference'], 2)).toBe(wait + 7 + 20);
    expect(gap(m6502({ canStop: true }), ['wait', 41, 'reference'], 2)).toBe(wait + 9 + 20);
    // The next byte waits for the last step that is farther than a slot.
    expect(gap(m6502(), ['wait', 60, 40], 2)).toBe(60 + 40 - 41);
    expect(gap(m6502(), ['wait', 60, 10], 2)).toBe(41);
  });

  test('256 units away is far: what is left is waited for in rounds of 128', () => {
    const behind = (units: number) => [...many('reference', units / 20)];
    // Near: 21 units, 9 for the step, and the register's last value.
    expect(gap(m6502(), ['wait', 255, ...behind(220), 'status'])).toBe(wait + 9 + 225);
    // Far: 6 units more, and no round.
    expect(gap(m6502(), ['wait', 256, ...behind(220), 'status'])).toBe(wait + 6 + 9 + 225);
    // 1000 − 21 are six rounds and 211.
    expect(gap(m6502(), ['wait', 1000, ...behind(200)])).toBe(wait + 6 * 128 + 15 + 200);
    // 277 − 21 are two hundred and fifty-six: a round.
    expect(gap(m6502(), ['wait', 277, ...behind(120)])).toBe(wait + 128 + 15 + 120);
    expect(gap(m6502(), ['wait', 276, ...behind(220), 'status'])).toBe(276);
  });
});

test('6502: an interface that is not ready is asked again, two units each, and the grid stays where it is', () => {
  // A byte takes 40, and is asked for 12 cycles, one and a half units, before it is written.
  const gaps = [30, 39, 40, 41, 42, 43].map((slotUnits) => gap(m6502({ slotUnits, ready: 'high' }), []));
  expect(gaps).toEqual([42, 43, 42, 43, 42, 43]);
  expect(gap(m6502({ slotUnits: 30 }), [])).toBe(30);
  expect(gap(m6502({ ready: 'low' }), many('longReference', 4))).toBe(13 + 96);
  const clock = m6502({ slotUnits: 30, ready: 'low' });
  const first = clock.send();
  expect(clock.send() - first).toBe(42);
  expect(behindStep(clock, 300) - first).toBe(300);
});
