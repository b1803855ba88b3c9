import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { foldMessage } from '../../../src/core/observe/fold-message.ts';
import { type ObservedState, Slot } from '../../../src/core/observe/observed-state.ts';
import { songNotesOf } from '../../../src/core/observe/song-notes.ts';
import { findStuckNotes, isPedalHeld, STUCK_LIMITS } from '../../../src/core/observe/stuck-notes.ts';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';

/**
 * Songs at 96 ticks a quarter and the default 120 beats a minute (SMF 1.1, 2.2): a tick is 500,000 / 96 µs, a
 * quarter half a second. Messages are written as on the wire (MIDI 1.0, Table I).
 */
const QUARTER = 96;
const SECOND = 1_000_000;

function notesOf(events: readonly DeltaEvent[]) {
  return songNotesOf(buildTimeline(readSong(songBytes([events]))).columns);
}

/** What passed on the wire: seconds of run time, bytes, and the song's time where it is another. */
type Passed = readonly [seconds: number, bytes: readonly number[], songSeconds?: number];

function observedAfter(passed: readonly Passed[], positionSeconds: number, playing = true): ObservedState {
  const observed = createObservedState();
  for (const [seconds, [status = 0, data1 = 0, data2 = 0], songSeconds = seconds] of passed) {
    const song = songSeconds < 0 ? -1 : songSeconds * SECOND;
    foldMessage(observed, status, data1, data2, Float64Array.of(seconds * SECOND, song));
  }
  observed.numbers[Slot.transport] = playing ? 1 : 0;
  observed.numbers[Slot.positionMicros] = positionSeconds * SECOND;
  observed.numbers[Slot.positionAtMicros] = positionSeconds * SECOND;
  return observed;
}

describe('notes that the song itself leaves hanging', () => {
  test('a note-on without any note-off', () => {
    const notes = notesOf([
      [0, [0x90, 60, 100]],
      [QUARTER * 8, [0xb0, 7, 100]],
    ]);
    const observed = observedAfter([[0, [0x90, 60, 100]]], 2);
    expect(findStuckNotes(observed, notes, 2 * SECOND)).toEqual([
      {
        channel: 0,
        key: 60,
        velocity: 100,
        cause: 'never-released',
        ageMicros: 2 * SECOND,
        beganSongMicros: 0,
        releasedChannel: -1,
      },
    ]);
    expect(notes.unreleasedCount).toBe(1);
  });

  test('a note released on another channel names that channel', () => {
    const notes = notesOf([
      [0, [0x93, 60, 100]],
      [QUARTER, [0x84, 60, 64]],
      [QUARTER * 8, [0xb0, 7, 100]],
    ]);
    const observed = observedAfter([[0, [0x93, 60, 100]]], 2);
    const [note] = findStuckNotes(observed, notes, 2 * SECOND);
    expect(note).toMatchObject({ channel: 3, key: 60, cause: 'other-channel', releasedChannel: 4 });
  });

  test('struck twice and released once: the release serves the first strike (MIDI 1.0, p. A-4), the second hangs', () => {
    const notes = notesOf([
      [0, [0x90, 60, 100]],
      [QUARTER, [0x90, 60, 90]],
      [QUARTER, [0x90, 60, 0]],
      [QUARTER * 8, [0xb0, 7, 100]],
    ]);
    const observed = observedAfter(
      [
        [0, [0x90, 60, 100]],
        [0.5, [0x90, 60, 90]],
        [1, [0x90, 60, 0]],
      ],
      3,
    );
    expect(findStuckNotes(observed, notes, 3 * SECOND)).toMatchObject([{ key: 60, cause: 'never-released' }]);
  });

  test('transposed notes are looked up under the key as written', () => {
    const notes = notesOf([
      [0, [0x90, 60, 100]],
      [QUARTER * 8, [0xb0, 7, 100]],
    ]);
    const observed = observedAfter([[0, [0x90, 65, 100]]], 2);
    observed.numbers[Slot.transpose] = 7;
    observed.channelTranspose[0] = -2;
    expect(findStuckNotes(observed, notes, 2 * SECOND)).toMatchObject([{ key: 65, cause: 'never-released' }]);
  });
});

describe('notes whose release was lost on the way', () => {
  const song: readonly DeltaEvent[] = [
    [0, [0x90, 60, 100]],
    [QUARTER * 2, [0x80, 60, 64]],
    [QUARTER * 20, [0xb0, 7, 100]],
  ];

  test('the song has passed the release, the wire has not seen it', () => {
    const observed = observedAfter([[0, [0x90, 60, 100]]], 2);
    expect(findStuckNotes(observed, notesOf(song), 2 * SECOND)).toMatchObject([{ cause: 'lost-off' }]);
  });

  test('while the release is still to come, or only just due, nothing is said', () => {
    for (const seconds of [0.6, 0.9, 1.4]) {
      const observed = observedAfter([[0, [0x90, 60, 100]]], seconds);
      expect(findStuckNotes(observed, notesOf(song), seconds * SECOND)).toEqual([]);
    }
  });

  test('after a seek to before the strike it ought not to sound', () => {
    const later: readonly DeltaEvent[] = [
      [QUARTER * 8, [0x90, 60, 100]],
      [QUARTER * 8, [0x80, 60, 64]],
    ];
    const observed = observedAfter([[4.2, [0x90, 60, 100], 4]], 1);
    observed.numbers[Slot.positionAtMicros] = 5 * SECOND;
    expect(findStuckNotes(observed, notesOf(later), 5 * SECOND)).toMatchObject([{ cause: 'lost-off' }]);
  });

  test('up to half a second before its strike a note is left in peace', () => {
    const later: readonly DeltaEvent[] = [
      [QUARTER * 8, [0x90, 60, 100]],
      [QUARTER * 8, [0x80, 60, 64]],
    ];
    const at = (seconds: number) => {
      const observed = observedAfter([[4.2, [0x90, 60, 100], 4]], seconds);
      observed.numbers[Slot.positionAtMicros] = 5 * SECOND;
      return findStuckNotes(observed, notesOf(later), 5 * SECOND);
    };
    expect(at(3.5)).toEqual([]);
    expect(at(3.499_999)).toMatchObject([{ cause: 'lost-off' }]);
  });

  test('the lowest key of the first channel and the highest of the last are looked at too', () => {
    const observed = observedAfter(
      [
        [0, [0x90, 0, 100], -1],
        [0, [0x9f, 127, 100], -1],
      ],
      20,
    );
    const found = findStuckNotes(observed, undefined, 20 * SECOND);
    expect(found.map(({ channel, key }) => [channel, key])).toEqual([
      [0, 0],
      [15, 127],
    ]);
  });

  test('when the song stands still nothing ought to sound', () => {
    const observed = observedAfter([[0, [0x90, 60, 100]]], 0.2, false);
    expect(findStuckNotes(observed, notesOf(song), 2 * SECOND)).toMatchObject([{ cause: 'lost-off' }]);
  });
});

describe('age', () => {
  test('a note of ten seconds is listed, whatever the song says of it', () => {
    const notes = notesOf([
      [0, [0x90, 60, 100]],
      [QUARTER * 60, [0x80, 60, 64]],
    ]);
    const observed = observedAfter([[0, [0x90, 60, 100]]], 9.9);
    expect(findStuckNotes(observed, notes, 9.9 * SECOND)).toEqual([]);
    expect(findStuckNotes(observed, notes, 10 * SECOND)).toMatchObject([{ cause: 'too-long' }]);
  });

  test('the limit can be set', () => {
    const observed = observedAfter([[0, [0x90, 60, 100], -1]], 0);
    const limits = { ...STUCK_LIMITS, longMicros: 3 * SECOND };
    expect(findStuckNotes(observed, undefined, 2.9 * SECOND, limits)).toEqual([]);
    expect(findStuckNotes(observed, undefined, 3 * SECOND, limits)).toMatchObject([{ cause: 'too-long' }]);
  });

  test('without a song age alone counts, also while nothing plays', () => {
    const observed = observedAfter([[0, [0x90, 60, 100], -1]], 0, false);
    expect(findStuckNotes(observed, undefined, 5 * SECOND)).toEqual([]);
    expect(findStuckNotes(observed, undefined, 11 * SECOND)).toHaveLength(1);
  });
});

describe('the damper pedal (MIDI 1.0, p. A-5: a note-off is remembered while it is down)', () => {
  const held: readonly Passed[] = [
    [0, [0xb0, 64, 127], -1],
    [0, [0x90, 60, 100], -1],
    [1, [0x80, 60, 64], -1],
    [1, [0x90, 72, 80], -1],
  ];

  test('what only the pedal holds is listed apart, after what really hangs', () => {
    const observed = observedAfter(held, 0);
    expect(findStuckNotes(observed, undefined, 12 * SECOND)).toMatchObject([
      { key: 72, cause: 'too-long' },
      { key: 60, cause: 'held-by-pedal', ageMicros: 12 * SECOND },
    ]);
  });

  test('it is not listed before the limit', () => {
    const observed = observedAfter(held.slice(0, 3), 0);
    expect(findStuckNotes(observed, undefined, 9 * SECOND)).toEqual([]);
  });

  test('lifting the pedal ends it', () => {
    const observed = observedAfter([...held.slice(0, 3), [2, [0xb0, 64, 0], -1]], 0);
    expect(findStuckNotes(observed, undefined, 20 * SECOND)).toEqual([]);
  });

  test('All Sound Off (120) ends it, All Notes Off (123) does not', () => {
    const notesOff = observedAfter([...held.slice(0, 2), [2, [0xb0, 123, 0], -1]], 0);
    expect(findStuckNotes(notesOff, undefined, 20 * SECOND)).toMatchObject([{ cause: 'held-by-pedal' }]);
    const soundOff = observedAfter([...held.slice(0, 3), [2, [0xb0, 120, 0], -1]], 0);
    expect(findStuckNotes(soundOff, undefined, 20 * SECOND)).toEqual([]);
  });

  test('striking the key again makes it a sounding note', () => {
    const observed = observedAfter([...held.slice(0, 3), [10, [0x90, 60, 90], -1]], 0);
    expect(findStuckNotes(observed, undefined, 12 * SECOND)).toEqual([]);
  });
});

describe('at the limits', () => {
  const song: readonly DeltaEvent[] = [
    [0, [0x90, 60, 100]],
    [QUARTER * 2, [0x80, 60, 64]],
    [QUARTER * 40, [0xb0, 7, 100]],
  ];
  const found = (seconds: number, passed: readonly Passed[] = [[0, [0x90, 60, 100]]], playing = true) =>
    findStuckNotes(observedAfter(passed, seconds, playing), notesOf(song), seconds * SECOND);

  test('half a second after the release that did not come nothing is said yet; just after it is', () => {
    expect(found(1.5)).toEqual([]);
    expect(found(1.500_001)).toMatchObject([{ cause: 'lost-off' }]);
  });

  test('half a second after the strike a note is looked at, and not before', () => {
    expect(found(0.499_999, undefined, false)).toEqual([]);
    expect(found(0.5, undefined, false)).toMatchObject([{ cause: 'lost-off', ageMicros: 500_000 }]);
  });

  test('a strike that is only about to be on the wire has no age', () => {
    expect(found(1, [[1.2, [0x90, 60, 100]]])).toEqual([]);
  });

  test('oldest first, then by channel and key; what only the pedal holds comes last, however old', () => {
    const passed: Passed[] = [
      [0, [0xb2, 64, 127], -1],
      [0, [0x92, 50, 90], -1],
      [0.1, [0x82, 50, 64], -1],
      [1, [0x93, 70, 90], -1],
      [1, [0x91, 71, 90], -1],
      [1, [0x91, 40, 90], -1],
      [0.5, [0x94, 72, 90], -1],
    ];
    const list = findStuckNotes(observedAfter(passed, 30), undefined, 30 * SECOND);
    expect(list.map(({ channel, key }) => `${channel}:${key}`)).toEqual([
      '4:72',
      '1:40',
      '1:71',
      '3:70',
      '2:50',
    ]);
    expect(list.at(-1)).toMatchObject({ cause: 'held-by-pedal', velocity: 0 });
  });

  test('held by the pedal is what was released under it, and no sounding or silent key', () => {
    const observed = observedAfter(
      [
        [0, [0xb0, 64, 127]],
        [0, [0x90, 60, 90]],
        [0, [0x90, 62, 90]],
        [0.1, [0x80, 62, 64]],
      ],
      1,
    );
    expect([60, 61, 62].map((key) => isPedalHeld(observed, key))).toEqual([false, false, true]);
  });

  test('channel 10 is looked up as written, whatever the whole song is transposed by; its own shift counts', () => {
    const drums = notesOf([
      [0, [0x99, 38, 100]],
      [QUARTER * 20, [0x89, 38, 64]],
    ]);
    const observed = observedAfter([[0, [0x99, 38, 100]]], 2);
    observed.numbers[Slot.transpose] = 5;
    expect(findStuckNotes(observed, drums, 2 * SECOND)).toEqual([]);
    const shifted = observedAfter([[0, [0x99, 40, 100]]], 12);
    shifted.channelTranspose[9] = 2;
    expect(findStuckNotes(shifted, drums, 12 * SECOND)).toMatchObject([{ key: 40, cause: 'lost-off' }]);
  });
});
