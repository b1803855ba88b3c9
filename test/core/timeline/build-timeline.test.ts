import { describe, expect, test } from 'vitest';
import { LISTED_PER_CODE } from '../../../src/core/smf/finding-list.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { NO_PARTNER } from '../../../src/core/timeline/timeline.ts';
import { FORMAT_0, FORMAT_1 } from '../../support/worked-examples.ts';
import { end, meter, off, on, songOf, tempo, text } from './song-of.ts';

function notesOf(timeline: ReturnType<typeof buildTimeline>) {
  const { columns } = timeline;
  const notes: number[][] = [];
  for (let row = 0; row < columns.count; row += 1) {
    if ((columns.status[row]! & 0xf0) !== 0x90 || columns.data2[row] === 0) continue;
    const release = columns.partner[row]!;
    const ends = release === NO_PARTNER ? Number.NaN : columns.micros[release]! / 1e6;
    const start = columns.micros[row]! / 1e6;
    notes.push([(columns.status[row]! & 15) + 1, columns.data1[row]!, columns.data2[row]!, start, ends]);
  }
  return notes;
}

describe.each([
  ['format 0', FORMAT_0],
  ['format 1', FORMAT_1],
])('the worked example of SMF 1.1, appendix 2, %s', (_, bytes) => {
  const timeline = buildTimeline(readSong(bytes));

  test('has the notes of its table: channel, key, velocity, seconds on and off', () => {
    expect(notesOf(timeline)).toEqual([
      [3, 48, 96, 0, 2],
      [3, 60, 96, 0, 2],
      [2, 67, 64, 0.5, 2],
      [1, 76, 32, 1, 2],
    ]);
  });

  test('lasts 384 ticks, one bar of 4/4 at 120 quarters a minute, 2 s', () => {
    expect(timeline.durationMicros).toBe(2_000_000);
    expect(timeline.endTick).toBe(384);
    expect(timeline.meterMap.barBeatAt(383)).toMatchObject({ bar: 1, beat: 4, tick: 95 });
    expect(timeline.meterMap.barBeatAt(384)).toMatchObject({ bar: 2, beat: 1, tick: 0 });
    expect(timeline.findings).toEqual([]);
  });

  test('programs come before the notes of the same tick, tracks in their order', () => {
    const { status, data1 } = timeline.columns;
    expect([...status.slice(0, 5)]).toEqual([0xc0, 0xc1, 0xc2, 0x92, 0x92]);
    expect([...data1.slice(0, 5)]).toEqual([5, 46, 70, 48, 60]);
  });

  test('lies in shared memory', () => {
    for (const column of Object.values(timeline.columns)) {
      if (typeof column !== 'number') expect(column.buffer).toBeInstanceOf(SharedArrayBuffer);
    }
  });
});

describe('format 2', () => {
  const timeline = buildTimeline(
    songOf({
      format: 2,
      tracks: [
        [tempo(0, 250_000), meter(0, 3, 2), on(0, 0, 60), off(96, 0, 60), on(96, 0, 62), end(288)],
        [on(0, 0, 62), off(96, 0, 62), end(384)],
      ],
    }),
  );

  test('plays its patterns one after another, each with its own tempo and meter (section 2.2)', () => {
    expect([...timeline.columns.tick]).toEqual([0, 96, 96, 288, 384]);
    expect([...timeline.columns.micros]).toEqual([0, 250_000, 250_000, 750_000, 1_250_000]);
    expect(timeline.durationMicros).toBe(2_750_000);
    expect(timeline.meterMap.changes.map(({ bar, numerator }) => [bar, numerator])).toEqual([
      [1, 3],
      [2, 4],
    ]);
  });

  test('says so, and no note outlives its pattern', () => {
    expect(timeline.findings.map(({ code }) => code)).toEqual([
      'patterns-in-sequence',
      'note-never-released',
    ]);
    expect([...timeline.columns.partner]).toEqual([1, 0, NO_PARTNER, 4, 3]);
  });
});

describe('what a song says of itself', () => {
  const song = songOf({
    tracks: [
      [text(0, 3, 'Harbour'), text(0, 2, 'ours'), text(0, 6, 'Begin'), [0, 0xff, 0x59, 0xfd, 1], end(0)],
      [
        [0, 0xff, 0x20, 4],
        text(0, 3, 'names channel 5, not the track'),
        [0, 0xb4, 7, 100],
        text(0, 3, 'Flute'),
        [0, 0xff, 0x21, 1],
        text(96, 5, 'la'),
        text(192, 7, 'curtain'),
        end(192),
      ],
    ],
  });
  const timeline = buildTimeline(song);

  test('title, copyright, track names, ports', () => {
    expect(timeline).toMatchObject({
      title: 'Harbour',
      copyright: 'ours',
      trackNames: ['Harbour', 'Flute'],
      trackPorts: [0, 1],
    });
  });

  test('markers, cues, lyrics and key signatures, timed', () => {
    expect(timeline.markers).toEqual([{ tick: 0, micros: 0, track: 0, text: 'Begin' }]);
    expect(timeline.lyrics).toEqual([{ tick: 96, micros: 500_000, track: 1, text: 'la' }]);
    expect(timeline.cues).toEqual([{ tick: 192, micros: 1_000_000, track: 1, text: 'curtain' }]);
    expect(timeline.keySignatures).toEqual([{ tick: 0, micros: 0, sharps: -3, minor: true }]);
  });
});

test('an endless text is cut, never inside a character', () => {
  const piano = '\u{1f3b9}'; // four bytes; the cut at 4096 falls behind their first
  const { markers } = buildTimeline(songOf({ tracks: [[text(0, 6, `${'a'.repeat(4095)}${piano}`)]] }));
  expect(markers[0]!.text).toBe('a'.repeat(4095));
});

describe('trouble becomes a finding and the song goes on', () => {
  const findingsOf = (...tracks: Parameters<typeof songOf>[0]['tracks']) =>
    buildTimeline(songOf({ tracks })).findings.map(({ text }) => text);

  test('tempo 0, a tempo cut short, a tempo in a later track', () => {
    const song = songOf({
      tracks: [
        [tempo(96, 0), [96, 0xff, 0x51, 7]],
        [tempo(192, 250_000), end(288)],
      ],
    });
    const timeline = buildTimeline(song);
    expect(timeline.durationMicros).toBe(1_250_000);
    expect(timeline.findings.map(({ text }) => text)).toEqual([
      'A tempo of 0 at bar 1, beat 2 is ignored.',
      'A tempo with too few bytes at bar 1, beat 2 is ignored.',
      'The tempo at bar 1, beat 3 stands in track 2; it is obeyed.',
    ]);
  });

  test('patterns beyond the last tick there is', () => {
    const tracks = [[end(0xffff_ffff)], [end(1)]];
    const codes = (format: number) =>
      buildTimeline(songOf({ format, tracks })).findings.map(({ code }) => code);
    expect(codes(2)).toEqual(['patterns-in-sequence', 'song-too-long']);
    expect(codes(1)).toEqual([]);
  });

  test('meters and keys that cannot be', () => {
    expect(
      findingsOf([
        meter(0, 0, 2),
        meter(0, 4, 200),
        [0, 0xff, 0x58, 4],
        [0, 0xff, 0x59, 8, 0],
        [0, 0xff, 0x59],
      ]),
    ).toHaveLength(5);
  });

  test('findings of one kind are bounded and counted', () => {
    const many = Array.from({ length: 1000 }, (_, index) => on(index, 0, index % 128));
    const findings = findingsOf(many);
    expect(findings.filter((line) => line.includes('never released'))).toHaveLength(LISTED_PER_CODE);
    expect(findings).toContain(`And ${1000 - LISTED_PER_CODE} more of this kind (note-never-released).`);
  });

  test('a song without tracks is silence', () => {
    expect(buildTimeline(songOf({ tracks: [] }))).toMatchObject({ durationMicros: 0, endTick: 0, title: '' });
    expect(buildTimeline(songOf({ tracks: [[]] })).columns.count).toBe(0);
  });
});

describe('SysEx', () => {
  test('packets stay in order, each at its own time (the packet example of SMF 1.1, section 2.3)', () => {
    const { columns, findings } = buildTimeline(
      songOf({
        tracks: [
          [
            [0, 0xf0, 0x43, 0x12, 0x00],
            [200, 0xf7, 0x43, 0x12, 0x00, 0x43, 0x12, 0x00],
            [300, 0xf7, 0x43, 0x12, 0x00, 0xf7],
          ],
        ],
      }),
    );
    expect([...columns.status]).toEqual([0xf0, 0xf7, 0xf7]);
    expect([...columns.tick]).toEqual([0, 200, 300]);
    const bytes = [...columns.payload].map((row) => {
      const start = columns.payloadStart[row]!;
      return [...columns.payloadBytes.slice(start, start + columns.payloadLength[row]!)];
    });
    expect(bytes).toEqual([
      [0x43, 0x12, 0x00],
      [0x43, 0x12, 0x00, 0x43, 0x12, 0x00],
      [0x43, 0x12, 0x00, 0xf7],
    ]);
    expect(findings).toEqual([]);
  });

  test('an open packet followed by something else before its continuation is found', () => {
    const codes = (...events: Parameters<typeof songOf>[0]['tracks'][number]) =>
      buildTimeline(songOf({ tracks: [events] })).findings.map(({ code }) => code);
    expect(codes([0, 0xf0, 1, 2], [10, 0xc0, 4], [20, 0xf7, 3, 0xf7])).toEqual(['sysex-interrupted']);
    expect(codes([0, 0xf0, 1, 2], [10, 0xc0, 4])).toEqual([]); // the reader's to find;
  });
});
