import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { Slot, TRANSPORT_STATES } from '../../../src/core/observe/observed-state.ts';
import { countInMicros, songPosition, transportState } from '../../../src/core/observe/song-position.ts';

/** A picture in which some of the numbers were written. */
function picture(numbers: Partial<Record<keyof typeof Slot, number>>) {
  const observed = createObservedState();
  for (const [slot, value] of Object.entries(numbers))
    observed.numbers[Slot[slot as keyof typeof Slot]] = value;
  return observed;
}

const PLAYING = { transport: 1, positionMicros: 1000, positionAtMicros: 500 };

describe('the transport by name', () => {
  test.each([...TRANSPORT_STATES.entries()])('%i is %s', (transport, name) => {
    expect(transportState(picture({ transport }))).toBe(name);
  });

  test('a number of no state is stopped', () => {
    expect(transportState(picture({ transport: 9 }))).toBe('stopped');
  });
});

describe('the position', () => {
  test.each([0, 2, 3])('stands while the transport is at %i', (transport) => {
    expect(songPosition(picture({ ...PLAYING, transport }), 900)).toBe(1000);
  });

  test('goes on with the time while the song plays', () => {
    expect(songPosition(picture(PLAYING), 900)).toBe(1400);
  });

  test('does so at the speed in force', () => {
    expect(songPosition(picture({ ...PLAYING, tempoScale: 2 }), 900)).toBe(1800);
    expect(songPosition(picture({ ...PLAYING, tempoScale: 0.5 }), 900)).toBe(1200);
  });

  test('stands until the music begins, where that is still to come', () => {
    expect(songPosition(picture(PLAYING), 400)).toBe(1000);
  });
});

describe('in a loop from 600 to 1,200', () => {
  const LOOP = { loopFromMicros: 600, loopToMicros: 1200 };

  test.each([
    [699, 1199],
    [700, 600], // B is A
    [701, 601],
    [1299, 1199],
    [1300, 600],
    [1950, 650],
  ])('at run time %i the song is at %i', (now, position) => {
    expect(songPosition(picture({ ...PLAYING, ...LOOP }), now)).toBe(position);
  });

  test('a position at its end or past it is outside', () => {
    expect(songPosition(picture({ ...PLAYING, ...LOOP, positionMicros: 1200 }), 900)).toBe(1600);
    expect(songPosition(picture({ ...PLAYING, ...LOOP, positionMicros: 1300 }), 900)).toBe(1700);
  });

  test('one without length is none', () => {
    expect(songPosition(picture({ ...PLAYING, loopFromMicros: 1200, loopToMicros: 1200 }), 900)).toBe(1400);
    expect(songPosition(picture({ ...PLAYING, loopFromMicros: -1, loopToMicros: -1 }), 900)).toBe(1400);
  });
});

describe('a count-in to song time 500', () => {
  const COUNTED = { transport: 1, countedToMicros: 500 };

  test.each([
    [-1500, 2000],
    [499, 1],
    [500, 0],
    [900, 0],
  ])('at %i the music begins in %i', (position, micros) => {
    expect(countInMicros(picture(COUNTED), position)).toBe(micros);
  });

  test('none is given where the song does not play, or none was wanted', () => {
    expect(countInMicros(picture({ ...COUNTED, transport: 2 }), 0)).toBe(0);
    expect(countInMicros(picture({ ...COUNTED, countedToMicros: -Infinity }), 0)).toBe(0);
  });
});
