import { describe, expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { songPosition } from '../../../src/core/observe/song-position.ts';
import type { Command } from '../../../src/core/schedule/command.ts';
import type { ActionScene } from '../../../src/screen/actions/action.ts';
import { unanswered, withAsked } from '../../../src/screen/keys/asked.ts';
import { pressKey } from '../../../src/screen/keys/press-key.ts';
import { FIRST_STATE } from '../../../src/screen/state/screen-state.ts';
import { playIntoObserved } from '../../support/play-into-observed.ts';
import { screenSong } from '../../support/screen-song.ts';

const NOW = 9_000_000;
const SONG = screenSong();

/** What the keys send, each so long after the one before, while the music answers nothing. */
function sent(keys: readonly string[], apartMicros = 0): readonly Command[] {
  const observed = playIntoObserved(SONG.timeline!, NOW);
  let state = FIRST_STATE;
  return keys.flatMap((key, n) => {
    const nowMicros = NOW + n * apartMicros;
    const scene: Omit<ActionScene, 'count'> = {
      state,
      observed,
      song: SONG,
      stuck: [],
      songs: [],
      nowMicros,
    };
    const effect = pressKey(key, scene);
    state = effect.state;
    return effect.commands;
  });
}

describe('of keys that come together each counts from the one before', () => {
  test.each<[string, readonly Command[]]>([
    ['m', [true, false, true].map((on) => ({ kind: 'mute', channel: 0, on }))],
    ['s', [true, false, true].map((on) => ({ kind: 'solo', channel: 0, on }))],
    ['v', [-5, -10, -15].map((amount) => ({ kind: 'velocity-trim', channel: 0, amount }))],
    ['V', [5, 10, 15].map((amount) => ({ kind: 'velocity-trim', channel: 0, amount }))],
    ['K', [1, 2, 3].map((semitones) => ({ kind: 'channel-transpose', channel: 0, semitones }))],
    ['-', [0.95, 0.9, 0.85].map((scale) => ({ kind: 'tempo-scale', scale }))],
    ['>', [1, 2, 3].map((semitones) => ({ kind: 'transpose', semitones }))],
    ['space', [{ kind: 'pause' }, { kind: 'play' }, { kind: 'pause' }]],
  ])('%s, three times', (key, commands) => {
    expect(sent([key, key, key])).toEqual(commands);
    expect(sent([key, key, key], 199_999)).toEqual(commands);
  });

  test('bars and markers, from where the last one led', () => {
    const micros = (keys: readonly string[], apart: number) =>
      sent(keys, apart).map((one) => 'micros' in one && one.micros);
    expect(micros(['right', 'right', 'left'], 0)).toEqual([10_000_000, 12_000_000, 10_000_000]);
    expect(micros(['right', 'right', 'left'], 199_999)).toEqual([10_000_000, 12_000_000, 10_000_000]);
    expect(micros(['p', 'n', 'n'], 199_999)).toEqual([0, 8_000_000, 16_000_000]);
    expect(micros(['right', 'space', 'right'], 90_000)).toEqual([10_000_000, false, 12_000_000]);
  });

  test('a program chosen, and the next one', () => {
    const programs = sent(['5', 'i', 'i', 'I', 'I']).map((one) => 'program' in one && one.program);
    expect(programs).toEqual([4, 5, 4, 3]);
  });

  test('mutes and solos that were only asked for are taken back', () => {
    expect(sent(['m', '3', 's', 'u']).slice(2)).toEqual([
      { kind: 'mute', channel: 0, on: false },
      { kind: 'solo', channel: 2, on: false },
    ]);
  });

  test('as the file has it, and down from there', () => {
    const last = sent(['v', 'v', 'K', '7', 'i', 'f', 'v', 'k']);
    expect(last.slice(-2)).toEqual([
      { kind: 'velocity-trim', channel: 0, amount: -5 },
      { kind: 'channel-transpose', channel: 0, semitones: -1 },
    ]);
  });
});

test('what is not answered in a fifth of a second is not counted from any more', () => {
  expect(sent(['v', 'v'], 200_000)).toEqual(
    [-5, -5].map((amount) => ({ kind: 'velocity-trim', channel: 0, amount })),
  );
  const mute: Command = { kind: 'mute', channel: 0, on: true };
  const asked = [1, 2].map((atMicros) => ({ command: mute, atMicros }));
  expect(unanswered(asked, 200_000)).toEqual(asked);
  expect(unanswered(asked, 200_001)).toEqual([{ command: mute, atMicros: 2 }]);
});

test('what is seen is not changed, and the song stands where it stood', () => {
  const observed = playIntoObserved(SONG.timeline!, NOW);
  const before = observed.buffer.slice(0);
  const here = songPosition(observed, NOW);
  const all = (['pause', 'play', 'stop', 'pause'] as const).map((kind) => ({
    command: { kind },
    atMicros: NOW,
  }));
  const seen = withAsked(observed, all, NOW + 100_000);
  expect(seen.numbers[Slot.transport]).toBe(2);
  expect(songPosition(seen, NOW + 150_000)).toBeCloseTo(here + 100_000, 3);
  withAsked(
    observed,
    [
      { kind: 'mute', channel: 3, on: true } as const,
      { kind: 'tempo-scale', scale: 2 } as const,
      { kind: 'program-override', channel: 1, program: undefined } as const,
    ].map((command) => ({ command, atMicros: NOW })),
    NOW,
  );
  expect(new Uint8Array(observed.buffer)).toEqual(new Uint8Array(before));
  expect(withAsked(observed, unanswered(all, NOW + 200_000), NOW + 200_000)).toBe(observed);
});
