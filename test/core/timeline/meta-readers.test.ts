import { describe, expect, test } from 'vitest';
import type { Division } from '../../../src/core/smf/song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type EventBytes, end, songOf, tempo, text } from './song-of.ts';

const timelineOf = (events: EventBytes[], format = 1, division: Division | number = 96) =>
  buildTimeline(songOf({ format, division, tracks: [events] }));
const codesOf = (...events: EventBytes[]) => timelineOf(events).findings.map(({ code }) => code);

describe('a time signature (SMF 1.1, section 3.1: numerator, power of two, …)', () => {
  const meters = (...data: number[]) =>
    timelineOf([[0, 0xff, 88, ...data]]).meterMap.changes.map(({ numerator, denominator }) => [
      numerator,
      denominator,
    ]);

  test('is read from its first two bytes', () => {
    expect(meters(6, 3, 36, 8)).toEqual([[6, 8]]);
    expect(meters(1, 0)).toEqual([[1, 1]]);
    expect(meters(255, 10)).toEqual([[255, 1024]]);
  });

  test('not with a numerator of 0, a beat shorter than a 1024th, or a byte missing', () => {
    for (const data of [[0, 2], [4, 11], [4], []]) {
      expect(meters(...data)).toEqual([[4, 4]]);
      expect(codesOf([0, 0xff, 88, ...data])).toEqual(['meter-absurd']);
    }
  });
});

describe('a key signature (sharps as a signed byte, 1 for minor)', () => {
  const keys = (...data: number[]) =>
    timelineOf([[0, 0xff, 89, ...data]]).keySignatures.map(({ sharps, minor }) => [sharps, minor]);

  test('has up to seven sharps or flats', () => {
    expect([keys(7, 0), keys(0xf9, 1), keys(0, 0), keys(3)]).toEqual([
      [[7, false]],
      [[-7, true]],
      [[0, false]],
      [[3, false]],
    ]);
    for (const data of [[8, 0], [0xf8, 0], [0, 2], []]) {
      expect(keys(...data)).toEqual([]);
      expect(codesOf([0, 0xff, 89, ...data])).toEqual(['key-signature-absurd']);
    }
  });
});

describe('a tempo', () => {
  const tempos = (events: EventBytes[], format = 1, division: Division | number = 96) =>
    timelineOf(events, format, division).tempoMap.stretches.map(({ microsPerQuarter }) => microsPerQuarter);

  test('is three bytes, the highest first', () => {
    expect(tempos([[0, 0xff, 81, 1, 2, 3]])).toEqual([0x010203]);
    expect(tempos([[0, 0xff, 81, 0, 0, 1]])).toEqual([1]);
    expect(tempos([[0, 0xff, 81, 255, 255, 255, 9]])).toEqual([0xffffff]);
    expect(tempos([[0, 0xff, 81, 1, 2]])).toEqual([500_000]);
  });

  test('of a later track is told in format 1 only', () => {
    const codes = (format: number) =>
      buildTimeline(songOf({ format, tracks: [[end(0)], [tempo(0, 250_000)]] })).findings.map(
        ({ code }) => code,
      );
    expect([codes(0), codes(1), codes(2)]).toEqual([
      [],
      ['tempo-outside-first-track'],
      ['patterns-in-sequence'],
    ]);
  });

  test('has no effect where ticks are SMPTE frames, and that is told', () => {
    const division = { kind: 'smpte', framesPerSecond: 25, ticksPerFrame: 40 } as const;
    expect(timelineOf([tempo(0, 250_000)], 1, division).findings.map(({ text: words }) => words)).toEqual([
      'Ticks are SMPTE frames, so the tempo at bar 1, beat 1 has no effect.',
    ]);
    expect(tempos([tempo(0, 250_000)], 1, division)).toEqual([500_000]);
  });
});

describe('texts', () => {
  test('the first name and the first copyright count, if they say anything', () => {
    const { trackNames, copyright } = timelineOf([
      text(0, 3, ''),
      text(0, 3, 'Flute'),
      text(5, 3, 'Oboe'),
      text(0, 2, ''),
      text(0, 2, 'ours'),
      text(5, 2, 'theirs'),
    ]);
    expect([trackNames, copyright]).toEqual([['Flute'], 'ours']);
  });

  test('a name behind a channel prefix belongs to the channel, until a channel message or another prefix', () => {
    const nameOf = (...events: EventBytes[]) => timelineOf(events).trackNames[0];
    const prefix: EventBytes = [0, 0xff, 0x20, 4];
    expect(nameOf(prefix, text(0, 3, 'channel 5'))).toBe('');
    expect(nameOf(prefix, text(0, 1, 'words'), [0, 0xf0, 1, 0xf7], text(0, 3, 'channel 5'))).toBe('');
    expect(nameOf(prefix, [0, 0xb4, 7, 1], text(0, 3, 'Flute'))).toBe('Flute');
    expect(nameOf(prefix, [0, 0x80, 60, 1], text(0, 3, 'Flute'))).toBe('Flute');
    expect(nameOf(prefix, [0, 0xb4, 7, 1], prefix, text(0, 3, 'channel 5'))).toBe('');
    expect(nameOf(prefix, prefix, text(0, 3, 'channel 5'), [0, 0xb4, 7, 1], text(0, 3, 'Flute'))).toBe(
      'Flute',
    );
    expect(nameOf(text(0, 3, 'Flute'), prefix)).toBe('Flute');
  });

  test('a prefix ends with its track', () => {
    const { trackNames } = buildTimeline(
      songOf({ tracks: [[[0, 0xff, 0x20, 4]], [text(0, 3, 'Flute')], [text(0, 3, 'Oboe')]] }),
    );
    expect(trackNames).toEqual(['', 'Flute', 'Oboe']);
  });

  test('100,000 of one kind, and no more', () => {
    const many = Array.from({ length: 100_001 }, (): EventBytes => [0, 0xff, 5, 65]);
    const { lyrics, findings } = timelineOf(many);
    expect(lyrics).toHaveLength(100_000);
    expect(findings.map(({ text: words }) => words)).toEqual([
      'There are more than 100000 texts of one kind; the rest is left out.',
    ]);
  });
});

test('a port is the first that a track names', () => {
  const ports = buildTimeline(
    songOf({
      tracks: [
        [[0, 0xff, 0x21]],
        [[0, 0xff, 0x21, 3], [0, 0xff, 0x21, 4]], // biome-ignore format: pairs
        [
          [0, 0xff, 0x21],
          [0, 0xff, 0x21, 0],
          [0, 0xff, 0x21, 9],
        ],
      ],
    }),
  ).trackPorts;
  expect(ports).toEqual([0, 3, 0]);
});

describe('patterns of a format 2 song', () => {
  test('begin with the default tempo and meter each, at their first tick', () => {
    const { tempoMap, meterMap } = buildTimeline(
      songOf({
        format: 2,
        tracks: [[tempo(0, 250_000), end(96)], [end(96)], [tempo(48, 1_000_000), end(96)], [end(10)]],
      }),
    );
    expect(tempoMap.stretches.map(({ tick, microsPerQuarter }) => [tick, microsPerQuarter])).toEqual([
      [0, 250_000],
      [96, 500_000],
      [240, 1_000_000],
      [288, 500_000],
    ]);
    // A quarter is a quarter of a bar: each pattern begins a bar of its own.
    expect(meterMap.changes.map(({ tick, bar }) => [tick, bar])).toEqual([
      [0, 1],
      [96, 2],
      [192, 3],
      [288, 4],
    ]);
  });
});
