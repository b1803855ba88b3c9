import { describe, expect, test } from 'vitest';
import {
  allBendRanges,
  GENERAL_MARKS,
  MOST_MARK_BYTES,
  marksOf,
  marksText,
  marksTogether,
} from '../../../../src/core/arrange/fit/fit-marks.ts';

const some = (drumChannels: number[], ranges: Record<number, number> = {}, usual = 2) => ({
  drumChannels,
  bendRanges: allBendRanges(usual).map((range, channel) => ranges[channel] ?? range),
});

describe('what a fitted song says of itself', () => {
  test('General MIDI: drums on channel 10, bends of two semitones on all sixteen', () => {
    expect(GENERAL_MARKS).toEqual({
      drumChannels: [9],
      bendRanges: [2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2],
    });
  });

  test.each([
    ['wirepit fit: drums on channel 10; bends of 2 semitones', GENERAL_MARKS],
    ['wirepit fit: drums on channel ; bends of 2 semitones', some([])],
    ['wirepit fit: drums on channel 4,11; bends of 12 semitones', some([3, 10], {}, 12)],
    [
      'wirepit fit: drums on channel 10; bends of 2 semitones, of 12 on 1,16, of 0.5 on 3',
      some([9], { 0: 12, 2: 0.5, 15: 12 }),
    ],
    // What most channels have is named first, though channel 1 has another.
    ['wirepit fit: drums on channel 10; bends of 7 semitones, of 2 on 1', some([9], { 0: 2 }, 7)],
  ])('%s', (text, marks) => {
    expect(marksText(marks)).toBe(text);
    expect(marksOf(text)).toEqual(marks);
    expect(text.length).toBeLessThan(MOST_MARK_BYTES);
  });

  test('the longest there is: each channel with drums and a range of its own', () => {
    const all = Array.from({ length: 16 }, (_, channel) => channel);
    const text = marksText(some(all, Object.fromEntries(all.map((channel) => [channel, 20.125 + channel]))));
    expect(text.length).toBeLessThanOrEqual(MOST_MARK_BYTES);
  });

  test.each([
    'drums on channel 10; bends of 2 semitones',
    'wirepit fit: drums on channel 17; bends of 2 semitones',
    'wirepit fit: drums on channel 0; bends of 2 semitones',
    'wirepit fit: drums on channel 10; bends of 2 semitones, of 12 on 17',
    'wirepit fit: drums on channel 10; bends of 2 semitones, of 12 on 0',
    'wirepit fit: drums on channel 10; bends of . semitones',
    'wirepit fit: drums on channel 10; bends of 2 semitones, of 1.2.3 on 1',
    'wirepit fit: drums on channel 10; bends of 2 semitones ',
  ])('no mark: %s', (text) => {
    expect(marksOf(text)).toBeUndefined();
  });

  test('the last channel and no semitone at all are some', () => {
    expect(marksOf('wirepit fit: drums on channels 1,16; bends of 0 semitones, of 3 on 16')).toEqual(
      some([0, 15], { 15: 3 }, 0),
    );
  });
});

test('of several instruments each speaks for its channels, and the song for the rest', () => {
  const whole = some([9, 10], { 3: 5 });
  const together = marksTogether(whole, [
    { channels: [0, 9], marks: some([0, 4], { 0: 12, 4: 7 }) },
    { channels: [4], marks: some([], { 4: 1 }) },
  ]);
  expect(together).toEqual(some([0, 10], { 0: 12, 3: 5, 4: 1 }));
  expect(marksTogether(whole, [])).toEqual(whole);
});
