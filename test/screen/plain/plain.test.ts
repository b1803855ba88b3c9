import { describe, expect, test } from 'vitest';
import { ClockInput, Follow } from '../../../src/core/follow/follow-state.ts';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { describeChanges } from '../../../src/screen/plain/describe-changes.ts';
import { statusLine } from '../../../src/screen/plain/status-line.ts';
import { playIntoObserved } from '../../support/play-into-observed.ts';
import { screenSong } from '../../support/screen-song.ts';

/** Bar 5, beat 1 of the test song; two notes of channel 12 hang since bar 2. */
const NOW = 8_100_000;

describe('one line for a log', () => {
  test('tells place, sound, wire and what is amiss', () => {
    const song = screenSong();
    const observed = playIntoObserved(song.timeline!, NOW);
    expect(statusLine(observed, song, NOW)).toMatch(
      /^0:08\/0:32 bar 5:1 playing \d+ sounding, wire \d+% peak \d+% backlog 0\.0 ms, worst onset [\d.]+ ms at 1:1, 2 stuck$/,
    );
  });

  test('without a song it listens', () => {
    const song = { ...screenSong(), timeline: undefined, notes: undefined };
    const observed = playIntoObserved(screenSong().timeline!, NOW);
    expect(statusLine(observed, song, NOW)).toMatch(/^0:08 listening \d+ sounding, wire/);
  });

  test('a lost port is told', () => {
    const song = screenSong();
    const observed = playIntoObserved(song.timeline!, NOW);
    observed.numbers[Slot.portTrouble] = 2;
    expect(statusLine(observed, song, NOW)).toMatch(/port lost$/);
  });
});

describe('changes in words', () => {
  test('first the song, then only what has changed', () => {
    const song = screenSong();
    const teller = describeChanges(song);
    const observed = playIntoObserved(song.timeline!, NOW);
    expect(teller.since(observed, NOW)).toEqual(['Harbour Lights, playing']);
    expect(teller.since(observed, NOW)).toEqual([]);
  });

  test('state, marker, mute, tempo, program, port', () => {
    const song = screenSong();
    const teller = describeChanges(song);
    const observed = playIntoObserved(song.timeline!, NOW);
    teller.since(observed, NOW);
    observed.numbers[Slot.positionMicros] = 16_000_000;
    observed.numbers[Slot.transport] = 2;
    observed.numbers[Slot.tempoScale] = 0.8;
    observed.numbers[Slot.portTrouble] = 2;
    observed.muted[9] = 1;
    observed.program[0] = 70;
    const lines = teller.since(observed, NOW);
    expect(lines[0]).toBe('the port is gone');
    for (const line of [
      'paused',
      'Lamps, bar 9',
      'tempo 80 percent',
      'channel 10 muted',
      'channel 1: Bassoon',
    ]) {
      expect(lines).toContain(line);
    }
  });

  test('a note that begins to hang, and one that no longer does', () => {
    const song = screenSong();
    const teller = describeChanges(song);
    teller.since(playIntoObserved(song.timeline!, 1_000_000), 1_000_000);
    const hanging = playIntoObserved(song.timeline!, 3_500_000);
    expect(teller.since(hanging, 3_500_000)).toContain('E5 on channel 12 hangs: the song never releases it');
    hanging.strikes[11 * 128 + 76] = 0;
    expect(teller.since(hanging, 3_500_000)).toContain('E5 on channel 12 no longer hangs');
  });
});

describe('a clock that is followed', () => {
  const song = { ...screenSong(), follows: 'serial:/dev/ttyUSB0' };
  const follow = (state: number) => {
    const observed = playIntoObserved(song.timeline!, NOW);
    observed.numbers[Slot.followState] = state;
    observed.numbers[Slot.followPeriodMicros] = 60_000_000 / 24 / 123.4;
    observed.numbers[Slot.followLastMicros] = NOW;
    observed.numbers[Slot.tempoScale] = 123.4 / 120;
    return observed;
  };

  test('the line for a log has its state and tempo', () => {
    expect(statusLine(follow(Follow.follows), song, NOW)).toContain(
      'sounding, clock followed 123.4 a minute, wire',
    );
    const gone = follow(Follow.lost);
    gone.numbers[Slot.followInput] = ClockInput.lost;
    expect(statusLine(gone, song, NOW)).toContain('clock lost 123.4 a minute its input gone');
  });

  test('words tell what is waited for and what is lost, the tempo as it begins and with each bar told', () => {
    const teller = describeChanges(song);
    const observed = follow(Follow.waits);
    observed.numbers[Slot.transport] = 0;
    expect(teller.since(observed, NOW)).toEqual(['Harbour Lights, waits for Start from serial:/dev/ttyUSB0']);
    observed.numbers[Slot.followState] = Follow.follows;
    observed.numbers[Slot.transport] = 1;
    expect(teller.since(observed, NOW)).toEqual(['follows the clock, 123 a minute']);
    observed.numbers[Slot.positionMicros] = 16_000_000;
    observed.numbers[Slot.positionAtMicros] = NOW;
    expect(teller.since(observed, NOW)).toEqual(['Lamps, bar 9, 123 a minute']);
    observed.numbers[Slot.followState] = Follow.lost;
    expect(teller.since(observed, NOW)).toEqual([
      'no clock comes from serial:/dev/ttyUSB0; the music goes on',
    ]);
  });
});
