import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isOpen, minutesUntilOpen } from '../../../src/core/show/show-set.ts';
import { songOrder } from '../../../src/core/show/song-order.ts';
import {
  FIRST_PLACE,
  type Place,
  placeAfter,
  placeBeside,
  type Turn,
  turnAt,
} from '../../../src/core/show/turns.ts';
import { setOf } from './set-of.ts';

const NOON = 12 * 60;
const always = () => true;

/** Plays so many songs on end; the songs' numbers, and how it stopped. */
function playOn(
  set: ReturnType<typeof setOf>,
  most: number,
  canPlay: (song: number) => boolean = always,
  minute = NOON,
) {
  const played: number[] = [];
  const places: Place[] = [];
  let turn: Turn = turnAt(set, FIRST_PLACE, minute, canPlay);
  while (turn.kind === 'song' && played.length < most) {
    played.push(turn.song);
    places.push(turn.place);
    turn = turnAt(set, placeAfter(set, turn.place), minute, canPlay);
  }
  return { played, places, last: turn };
}

const size = fc.integer({ min: 1, max: 12 });
const seed = fc.integer({ min: 0, max: 0xffff_ffff });

describe('turns', () => {
  test('as they stand, once, and done', () => {
    expect(playOn(setOf([{}, {}, {}]), 99)).toMatchObject({ played: [0, 1, 2], last: { kind: 'done' } });
  });

  test('in a loop each song once a round, whatever the seed', () => {
    fc.assert(
      fc.property(size, fc.option(seed, { nil: undefined }), (songs, shuffleSeed) => {
        const set = setOf(
          Array.from({ length: songs }, () => ({})),
          { loops: true, shuffleSeed },
        );
        const { played } = playOn(set, songs * 4);
        for (let round = 0; round < 4; round++) {
          const heard = played.slice(round * songs, (round + 1) * songs);
          expect(heard.toSorted((a, b) => a - b)).toEqual(Array.from({ length: songs }, (_, n) => n));
        }
      }),
    );
  });

  test('shuffled, no song comes twice running', () => {
    fc.assert(
      fc.property(fc.integer({ min: 2, max: 8 }), seed, (songs, shuffleSeed) => {
        const set = setOf(
          Array.from({ length: songs }, () => ({})),
          { loops: true, shuffleSeed },
        );
        const { played } = playOn(set, songs * 12);
        expect(played.some((song, at) => at > 0 && song === played[at - 1])).toBe(false);
      }),
    );
  });

  test('shuffled, every order comes about as often as the others', () => {
    const set = setOf([{}, {}, {}], { loops: true, shuffleSeed: 5 });
    const counts = new Map<string, number>();
    for (let round = 0; round < 3000; round++) {
      const order = songOrder({ ...set, shuffleSeed: round }, 0).join('');
      counts.set(order, (counts.get(order) ?? 0) + 1);
    }
    expect(counts.size).toBe(6);
    for (const count of counts.values()) expect(count).toBeGreaterThan(400);
  });

  test('a show gone on with from any place plays what it would have played', () => {
    fc.assert(
      fc.property(size, seed, fc.nat(40), (songs, shuffleSeed, stop) => {
        const set = setOf(
          Array.from({ length: songs }, (_, n) => ({ repeats: 1 + (n % 3) })),
          { loops: true, shuffleSeed },
        );
        const whole = playOn(set, 80);
        const again: number[] = [];
        let turn = turnAt(set, whole.places[stop]!, NOON, always);
        while (turn.kind === 'song' && again.length < 40) {
          again.push(turn.song);
          turn = turnAt(set, placeAfter(set, turn.place), NOON, always);
        }
        expect(again).toEqual(whole.played.slice(stop, stop + 40));
      }),
    );
  });

  test('a song is repeated as often as it says, and next by hand passes over what is left of it', () => {
    const set = setOf([{ repeats: 3 }, {}]);
    const { played, places } = playOn(set, 99);
    expect(played).toEqual([0, 0, 0, 1]);
    expect(turnAt(set, placeBeside(set, places[0]!, 1), NOON, always)).toMatchObject({ song: 1 });
  });

  test('by hand back to the one before; before the first it stays', () => {
    const set = setOf([{}, {}]);
    expect(placeBeside(set, { round: 0, turn: 1, played: 0 }, -1)).toEqual(FIRST_PLACE);
    expect(placeBeside(set, FIRST_PLACE, -1)).toEqual(FIRST_PLACE);
    expect(placeBeside({ ...set, loops: true }, { round: 2, turn: 0, played: 0 }, -1)).toEqual({
      round: 1,
      turn: 1,
      played: 0,
    });
  });
});

test('by hand back over the beginning of a round, only where the set begins again', () => {
  const place = { round: 2, turn: 0, played: 1 };
  expect(placeBeside(setOf([{}, {}, {}], { loops: true }), place, -1)).toEqual({
    round: 1,
    turn: 2,
    played: 0,
  });
  expect(placeBeside(setOf([{}, {}, {}]), place, -1)).toEqual({ round: 2, turn: 0, played: 0 });
  expect(placeBeside(setOf([{}, {}, {}]), { round: 1, turn: 2, played: 1 }, -1)).toEqual({
    round: 1,
    turn: 1,
    played: 0,
  });
});

test('the order of a seed is the same in every release: a place that was kept counts on it', () => {
  const set = setOf(
    Array.from({ length: 8 }, () => ({})),
    { loops: true, shuffleSeed: 2026 },
  );
  expect([0, 1, 2].map((round) => songOrder(set, round).join(''))).toEqual([
    '46712053',
    '73420156',
    '13467052',
  ]);
  const three = (shuffleSeed: number) => setOf([{}, {}, {}], { loops: true, shuffleSeed });
  expect([1, 2, 3, 4, 5, 6, 7, 8].map((one) => songOrder(three(one), 0).join(''))).toEqual([
    '021',
    '021',
    '021',
    '021',
    '120',
    '201',
    '021',
    '210',
  ]);
  // Two songs take turns, whichever is first.
  const two = (shuffleSeed: number) => setOf([{}, {}], { loops: true, shuffleSeed });
  const seeds = Array.from({ length: 12 }, (_, shuffleSeed) => shuffleSeed);
  expect(seeds.map((one) => songOrder(two(one), 0)[0]).join('')).toBe('100001100001');
  for (const round of [1, 2]) {
    for (const one of seeds) expect(songOrder(two(one), round)).toEqual(songOrder(two(one), 0));
  }
});

describe('songs that cannot be played', () => {
  test('past the last of a set that does not begin again: done where others could be played, nothing where none', () => {
    const set = setOf([{}, {}]);
    const behind = { round: 0, turn: 2, played: 0 };
    expect(turnAt(set, behind, NOON, always)).toEqual({ kind: 'done', skipped: [] });
    expect(turnAt(set, { ...behind, turn: 1 }, NOON, (song) => song === 0)).toEqual({
      kind: 'done',
      skipped: [1],
    });
    expect(placeAfter(set, behind)).toEqual({ round: 0, turn: 3, played: 0 });
  });

  test('are passed over and told; the others go on', () => {
    const set = setOf([{}, {}, {}]);
    const turn = turnAt(set, FIRST_PLACE, NOON, (song) => song === 2);
    expect(turn).toMatchObject({ kind: 'song', song: 2, skipped: [0, 1] });
  });

  test('where none can be, a show says so and does not turn for ever', () => {
    for (const loops of [true, false]) {
      expect(turnAt(setOf([{}, {}], { loops }), FIRST_PLACE, NOON, () => false)).toEqual({
        kind: 'nothing',
        skipped: [0, 1],
      });
    }
    for (const loops of [true, false])
      expect(turnAt(setOf([], { loops }), FIRST_PLACE, NOON, always)).toEqual({
        kind: 'nothing',
        skipped: [],
      });
  });

  test('every song that can be played is reached, whichever cannot', () => {
    fc.assert(
      fc.property(fc.array(fc.boolean(), { minLength: 1, maxLength: 10 }), seed, (fit, shuffleSeed) => {
        const set = setOf(
          fit.map(() => ({})),
          { loops: true, shuffleSeed },
        );
        const { played } = playOn(set, fit.length * 3, (song) => fit[song]!);
        for (const [song, isFit] of fit.entries()) expect(played.includes(song)).toBe(isFit);
      }),
    );
  });
});

describe('sections of the day', () => {
  const morning = { name: 'Morning', fromMinute: 10 * 60, toMinute: 12 * 60 };
  const night = { name: 'Night', fromMinute: 22 * 60, toMinute: 2 * 60 };
  const set = setOf([{ section: 0 }, { section: 1 }], { loops: true, sections: [morning, night] });

  test('one that goes over midnight is open on both sides of it', () => {
    expect([21, 22, 23, 0, 1, 2].map((hour) => isOpen(night, hour * 60))).toEqual([
      false,
      true,
      true,
      true,
      true,
      false,
    ]);
  });

  test('a song is played in its section, and waited for outside', () => {
    expect(turnAt(set, FIRST_PLACE, 11 * 60, always)).toMatchObject({ kind: 'song', song: 0 });
    expect(turnAt(set, FIRST_PLACE, 23 * 60, always)).toMatchObject({ kind: 'song', song: 1 });
    expect(turnAt(set, FIRST_PLACE, 21 * 60 + 50, always)).toEqual({
      kind: 'closed',
      minutes: 10,
      skipped: [],
    });
  });

  test('it is open from its first minute up to and without its last, all day where these are one', () => {
    fc.assert(
      fc.property(fc.nat(1439), fc.nat(1439), fc.nat(1439), (fromMinute, toMinute, now) => {
        const length = (toMinute - fromMinute + 1440) % 1440 || 1440;
        const passed = (now - fromMinute + 1440) % 1440;
        const section = { name: 's', fromMinute, toMinute };
        expect(isOpen(section, now)).toBe(passed < length);
        expect(isOpen(section, fromMinute)).toBe(true);
        expect(isOpen(section, toMinute)).toBe(fromMinute === toMinute);
      }),
    );
  });

  test('the wait that is told is the shortest after which it is open', () => {
    fc.assert(
      fc.property(fc.nat(1439), fc.nat(1439), fc.nat(1439), (fromMinute, toMinute, now) => {
        const section = { name: 's', fromMinute, toMinute };
        let wait = 0;
        while (!isOpen(section, (now + wait) % 1440)) wait += 1;
        expect(minutesUntilOpen(section, now)).toBe(wait);
      }),
    );
  });

  test('of several that are closed the first to open is waited for, also where another song cannot be played', () => {
    const day = { ...set, songs: [...set.songs, ...setOf([{}]).songs] };
    const asked = (minute: number) => turnAt(day, FIRST_PLACE, minute, (song) => song !== 2);
    expect(asked(9 * 60)).toEqual({ kind: 'closed', minutes: 60, skipped: [2] });
    expect(asked(12 * 60)).toEqual({ kind: 'closed', minutes: 600, skipped: [2] });
    expect(asked(2 * 60)).toEqual({ kind: 'closed', minutes: 480, skipped: [2] });
  });

  test('once through, what is closed at its turn is not waited for if something else can be played', () => {
    const once = { ...setOf([{ section: 0 }, {}]), sections: [morning] };
    expect(turnAt(once, FIRST_PLACE, 9 * 60, always)).toMatchObject({ song: 1, skipped: [] });
    const last = { round: 0, turn: 1, played: 0 };
    expect(turnAt(once, placeAfter(once, last), 9 * 60, always)).toEqual({ kind: 'done', skipped: [] });
    // Its only song waits for its time, whether the set begins again or not.
    const alone = { ...setOf([{ section: 0 }]), sections: [morning] };
    for (const loops of [true, false]) {
      expect(turnAt({ ...alone, loops }, FIRST_PLACE, 9 * 60, always)).toMatchObject({ minutes: 60 });
    }
  });
});
