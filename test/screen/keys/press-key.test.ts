import { describe, expect, test } from 'vitest';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { findStuckNotes } from '../../../src/core/observe/stuck-notes.ts';
import type { ActionScene } from '../../../src/screen/actions/action.ts';
import { NEED_WORDS } from '../../../src/screen/keys/key-mode.ts';
import { KEY_TABLE } from '../../../src/screen/keys/key-table.ts';
import { type KeyEffect, pressKey } from '../../../src/screen/keys/press-key.ts';
import { FIRST_STATE, type ScreenState } from '../../../src/screen/state/screen-state.ts';
import { playIntoObserved } from '../../support/play-into-observed.ts';
import { screenSong } from '../../support/screen-song.ts';

/** Sixteen bars of two seconds; markers at bars 1, 5, 9, 13. The moment: bar 5, beat 3. */
const NOW = 9_000_000;
const SONGS = [
  { path: 'a.mid', name: 'a.mid', title: '', durationMicros: 1, verdict: '', good: true },
  { path: 'b.mid', name: 'b.mid', title: 'Quay', durationMicros: 1, verdict: '', good: true },
];

function scene(state: Partial<ScreenState> = {}): Omit<ActionScene, 'count'> {
  const song = { ...screenSong(), place: { number: 1, of: 2, before: undefined, after: 'b.mid' } };
  const observed = playIntoObserved(song.timeline!, NOW);
  const stuck = findStuckNotes(observed, song.notes, NOW);
  return { state: { ...FIRST_STATE, ...state }, observed, song, stuck, songs: SONGS, nowMicros: NOW };
}

/** Presses keys one after the other at one moment; the commands of all of them, and the last state. */
function press(keys: string | readonly string[], from = scene()): KeyEffect {
  let state = from.state;
  const commands: KeyEffect['commands'][number][] = [];
  for (const key of keys) {
    const effect = pressKey(key, { ...from, state });
    state = effect.state;
    commands.push(...effect.commands);
  }
  return { state, commands };
}

/** One row for each action on the lanes: keys typed, commands sent. */
const SENT: readonly (readonly [action: string, keys: readonly string[], commands: readonly object[]])[] = [
  ['play-pause', ['space'], [{ kind: 'pause' }]],
  ['stop', ['.'], [{ kind: 'stop' }]],
  ['bar-back', ['left'], [{ kind: 'seek', micros: 8_000_000 }]],
  ['bar-on', ['right'], [{ kind: 'seek', micros: 10_000_000 }]],
  ['bar-on', ['3', 'right'], [{ kind: 'seek', micros: 14_000_000 }]],
  ['bars-back', ['['], [{ kind: 'seek', micros: 2_000_000 }]],
  ['bars-on', [']'], [{ kind: 'seek', micros: 16_000_000 }]],
  ['song-start', ['b'], [{ kind: 'seek', micros: 0 }]],
  ['song-end', ['e'], [{ kind: 'seek', micros: 30_000_000 }]],
  ['go-to-bar', ['1', '1', 'g'], [{ kind: 'seek', micros: 20_000_000 }]],
  ['go-to-bar', ['9', '9', 'g'], [{ kind: 'seek', micros: 32_000_000 }]],
  ['go-to-percent', ['5', '0', '%'], [{ kind: 'seek', micros: 16_000_000 }]],
  ['next-marker', ['n'], [{ kind: 'seek', micros: 16_000_000 }]],
  ['last-marker', ['p'], [{ kind: 'seek', micros: 0 }]],
  ['worst-spot', ['w'], [{ kind: 'seek', micros: 0 }]],
  [
    'loop-from and loop-to',
    ['3', '(', '6', ')'],
    [{ kind: 'loop', fromMicros: 4_000_000, toMicros: 12_000_000 }],
  ],
  ['loop of this bar', ['(', ')'], [{ kind: 'loop', fromMicros: 8_000_000, toMicros: 10_000_000 }]],
  ['loop-off', ['|'], [{ kind: 'loop-off' }]],
  ['slower', ['-'], [{ kind: 'tempo-scale', scale: 0.95 }]],
  ['faster', ['+'], [{ kind: 'tempo-scale', scale: 1.05 }]],
  ['tempo', ['8', '0', 't'], [{ kind: 'tempo-scale', scale: 0.8 }]],
  ['tempo', ['9', '9', '9', 't'], [{ kind: 'tempo-scale', scale: 4 }]],
  ['transpose-down', ['<'], [{ kind: 'transpose', semitones: -1 }]],
  ['transpose-up', ['7', '>'], [{ kind: 'transpose', semitones: 7 }]],
  ['transpose-up', ['9', '9', '>'], [{ kind: 'transpose', semitones: 24 }]],
  ['original-pitch', ['o'], [{ kind: 'transpose', semitones: 0 }]],
  ['mute', ['m'], [{ kind: 'mute', channel: 0, on: true }]],
  ['mute', ['1', '0', 'm'], [{ kind: 'mute', channel: 9, on: true }]],
  ['mute', ['1', '7', 'm'], []],
  ['solo', ['down', 's'], [{ kind: 'solo', channel: 1, on: true }]],
  ['all-heard', ['u'], []],
  ['softer', ['v'], [{ kind: 'velocity-trim', channel: 0, amount: -5 }]],
  ['louder', ['1', '2', 'V'], [{ kind: 'velocity-trim', channel: 0, amount: 12 }]],
  ['lane-down-semitone', ['k'], [{ kind: 'channel-transpose', channel: 0, semitones: -1 }]],
  ['lane-up-semitone', ['1', '2', 'K'], [{ kind: 'channel-transpose', channel: 0, semitones: 12 }]],
  ['program-next', ['i'], [{ kind: 'program-override', channel: 0, program: 1 }]],
  ['program-next', ['1', '2', '8', 'i'], [{ kind: 'program-override', channel: 0, program: 127 }]],
  ['program-next', ['1', '2', '9', 'i'], []],
  ['program-last', ['I'], [{ kind: 'program-override', channel: 0, program: 127 }]],
  [
    'lane-as-written',
    ['f'],
    [
      { kind: 'velocity-trim', channel: 0, amount: 0 },
      { kind: 'channel-transpose', channel: 0, semitones: 0 },
      { kind: 'program-override', channel: 0, program: undefined },
    ],
  ],
  ['silence-note', ['x'], [{ kind: 'silence-note', channel: 11, key: 76 }]],
  ['silence-lane', ['up', 'X'], [{ kind: 'silence-channel', channel: 15 }]],
  ['silence-lane', ['4', 'X'], [{ kind: 'silence-channel', channel: 3 }]],
  ['silence-all', ['z'], [{ kind: 'silence-all' }]],
  ['silence-all', ['/', 'z', 'ctrl-x'], [{ kind: 'silence-all' }]],
  ['next-song', ['N'], [{ kind: 'quit' }]],
  ['last-song', ['P'], []],
  ['quit', ['q'], [{ kind: 'quit' }]],
  ['quit-anywhere', ['ctrl-c'], [{ kind: 'quit' }]],
];

/** Keys that change the screen alone, and what of its state. */
const SHOWN: readonly (readonly [action: string, keys: readonly string[], state: Partial<ScreenState>])[] = [
  ['lane-down', ['down', 'down'], { lane: 2 }],
  ['lane-up', ['up'], { lane: 15 }],
  ['lane-up', ['3', 'up'], { lane: 13 }],
  ['choose-lane', ['1', '0', 'c'], { lane: 9 }],
  ['stuck-limit', ['2', '0', 'a'], { longMicros: 20_000_000 }],
  ['help', ['?'], { dialog: 'help' }],
  ['help', ['?', '?'], { dialog: 'none' }],
  ['stuck-list', ['h'], { dialog: 'stuck' }],
  ['lane-detail', ['enter'], { dialog: 'lane' }],
  ['song-list', ['/'], { dialog: 'songs' }],
  ['log', ['l'], { dialog: 'log' }],
  ['large', ['l', 'L'], { dialog: 'none', isLarge: true }],
  ['large', ['L', 'L'], { isLarge: false }],
  ['close', ['?', 'escape'], { dialog: 'none' }],
  ['close', ['4', 'escape'], { digits: '' }],
  ['row-down', ['?', 'down', 'down'], { row: 2 }],
  ['row-up', ['?', 'down', 'down', 'up'], { row: 1 }],
  ['page-down', ['l', 'page-down', 'page-down'], { row: 16 }],
  ['page-up', ['l', 'page-down', 'page-down', 'page-up'], { row: 8 }],
  ['stuck-down', ['h', 'down'], { stuckPlace: 11 * 128 + 79, lane: 11 }],
  ['stuck-up', ['h', 'down', 'up'], { stuckPlace: 11 * 128 + 76 }],
  ['search', ['/', 'B', 'space', 'q'], { search: 'B q', dialog: 'songs', outcome: undefined }],
  ['erase-letter', ['/', 'a', 'b', 'backspace'], { search: 'a' }],
  ['open-song', ['/', 'down', 'enter'], { outcome: { kind: 'song', path: 'b.mid' } }],
  ['next-song', ['N'], { outcome: { kind: 'song', path: 'b.mid' } }],
  ['last-song', ['P'], { outcome: undefined }],
  ['erase-digit', ['4', '1', 'backspace'], { digits: '4' }],
  ['erase-digit', ['4', 'backspace', 'backspace'], { digits: '' }],
  ['row-last', ['/', 'end'], { row: 1 }],
  ['row-first', ['/', 'end', 'home'], { row: 0 }],
  ['row-last', ['h', 'end'], { stuckPlace: 11 * 128 + 79 }],
  ['quit', ['q'], { outcome: { kind: 'quit' } }],
  ['a key without meaning', ['5', '~'], { digits: '' }],
];

describe('keys and what they do', () => {
  for (const [action, keys, commands] of SENT) {
    test(`${keys.join(' ')}: ${action}`, () => {
      expect(press(keys).commands).toEqual(commands);
    });
  }

  for (const [action, keys, state] of SHOWN) {
    test(`${keys.join(' ')}: ${action}`, () => {
      expect(press(keys).state).toMatchObject(state);
    });
  }

  test('ctrl-z and ctrl-l are for the owner of the terminal', () => {
    expect(pressKey('ctrl-z', scene()).ask).toBe('suspend');
    expect(pressKey('ctrl-l', scene()).ask).toBe('repaint');
  });

  test('W keeps settings in a set, and elsewhere says what it is for', () => {
    const from = scene();
    expect(pressKey('W', from)).toMatchObject({ state: { said: { text: NEED_WORDS.set } } });
    const song = { ...from.song, turn: { words: 'Fair, song 1 of 2', next: 'b.mid' } };
    expect(pressKey('W', { ...from, song }).ask).toBe('keep-settings');
    expect(pressKey('/', { ...from, song }).state).toMatchObject({
      dialog: 'none',
      said: { text: NEED_WORDS.list },
    });
  });

  test('where visitors are at the keys, ctrl-c ends the show when pressed twice within two seconds', () => {
    const from = scene();
    const visited = { ...from, song: { ...from.song, keyRole: 'visitor' as const } };
    const first = pressKey('ctrl-c', visited);
    expect(first.commands).toEqual([]);
    const late = pressKey('ctrl-c', { ...visited, state: first.state, nowMicros: NOW + 2_000_001 });
    expect(late.commands).toEqual([]);
    const second = pressKey('ctrl-c', { ...visited, state: first.state, nowMicros: NOW + 1_900_000 });
    expect(second).toMatchObject({ commands: [{ kind: 'quit' }], state: { outcome: { kind: 'quit' } } });
  });

  test('every action of the table is tried above', () => {
    const tried = new Set([...SENT, ...SHOWN].map(([action]) => action));
    for (const action of ['loop-from', 'loop-to', 'suspend', 'repaint', 'keep-settings']) tried.add(action);
    expect(KEY_TABLE.filter((row) => !tried.has(row.action)).map((row) => row.action)).toEqual([]);
  });
});

describe('finer points', () => {
  test('quick presses add up before the music has followed', () => {
    expect(press(['right', 'right', 'right']).commands.at(-1)).toEqual({ kind: 'seek', micros: 14_000_000 });
  });

  test('on the first beat of a bar, back goes to the bar before', () => {
    const from = scene();
    from.observed.numbers[Slot.positionMicros] = 8_100_000;
    expect(press(['left'], from).commands).toEqual([{ kind: 'seek', micros: 6_000_000 }]);
  });

  test('a loop whose ends cross asks for the other end again and sends nothing', () => {
    const { state, commands } = press(['8', '(', '4', ')']);
    expect(commands).toEqual([]);
    expect(state.said?.text).toContain('before its start');
  });

  test('unmute all sends only what is needed', () => {
    const from = scene();
    from.observed.muted[3] = 1;
    from.observed.soloed[9] = 1;
    expect(press(['u'], from).commands).toEqual([
      { kind: 'mute', channel: 3, on: false },
      { kind: 'solo', channel: 9, on: false },
    ]);
  });

  test('silencing is written to the log with bar and beat', () => {
    const { state } = press(['x', 'z']);
    expect(state.log.map((line) => `${line.where} ${line.text}`)).toEqual([
      '5:3 silenced E5 on channel 12: the song never releases it',
      '5:3 silenced everything',
    ]);
  });

  test('whatever was done to the music is in the log; quick steps of one kind are one line', () => {
    for (const [action, keys, commands] of SENT) {
      const { state } = press(keys);
      if (commands.length > 0 && state.outcome === undefined)
        expect(state.log.length, action).toBeGreaterThan(0);
    }
    const { log } = press(['m', 'right', 'right', 'right', 'v', 'v', 's']).state;
    expect(log.map(({ text }) => text)).toEqual([
      'channel 1 muted',
      'to bar 8:1',
      'channel 1 velocity -10',
      'channel 1 solo on',
    ]);
  });

  test('at either end of the songs the next one says so', () => {
    expect(press(['P']).state.said?.text).toBe('this is the first of 2 songs');
  });

  test('a text does not scroll beyond its end', () => {
    const from = { ...scene(), scroll: { lastRow: 3 } };
    expect(press(['?', 'end', 'page-down', 'up'], from).state.row).toBe(2);
  });

  test('while listening there is no song: what needs one says so and sends nothing', () => {
    const from = scene();
    const song = { ...from.song, timeline: undefined, notes: undefined };
    const needing = KEY_TABLE.filter(({ needs, only }) => (needs === 'song' || needs === 'time') && !only);
    expect(needing.length).toBeGreaterThan(25);
    for (const row of needing) {
      const { state, commands } = press([row.keys[0]!], { ...from, song });
      expect(commands, row.action).toEqual([]);
      expect(state.said?.text).toContain('needs a song');
      expect(state.dialog).toBe('none');
    }
    expect(press(['m', 'z'], { ...from, song }).commands).toHaveLength(2);
  });

  test('while a clock is followed its keys are the other machine’s: they say so and send nothing', () => {
    const from = scene();
    const song = { ...from.song, follows: 'serial:/dev/ttyS0' };
    const needing = KEY_TABLE.filter(({ needs, only }) => needs === 'time' && !only);
    expect(needing.map(({ action }) => action)).toContain('go-to-bar');
    for (const row of needing) {
      const { state, commands } = press([row.keys[0]!], { ...from, song });
      expect(commands, row.action).toEqual([]);
      expect(state.said?.text).toBe(NEED_WORDS.time);
    }
    expect(press(['m', 'z', 'space'], { ...from, song }).commands).toHaveLength(3);
  });

  test('while listening without a port to pass on to, mute and solo say so and change nothing', () => {
    const from = scene();
    const song = { ...from.song, timeline: undefined, isOnlyHeard: true };
    const needing = KEY_TABLE.filter((row) => row.needs === 'output');
    expect(needing.map((row) => row.keys[0])).toEqual(['m', 's', 'u']);
    for (const row of needing) {
      const { state, commands } = press([row.keys[0]!], { ...from, song });
      expect(commands, row.action).toEqual([]);
      expect(state.said?.text).toContain('--thru names a port');
    }
  });

  test('what is said of a missing song or port fits a line of 80 columns', () => {
    for (const words of Object.values(NEED_WORDS)) expect(words.length).toBeLessThan(79);
  });

  test('while listening without a port to pass on to, nothing is called silenced', () => {
    const from = scene();
    const song = { ...from.song, timeline: undefined, isOnlyHeard: true };
    for (const key of ['x', 'X', 'z']) {
      const { state } = press([key], { ...from, song });
      expect(state.said?.text).toContain('is off the list, not silenced');
      expect(state.log).toHaveLength(1);
    }
  });
});
