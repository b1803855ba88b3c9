import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { foldMessage } from '../../../src/core/observe/fold-message.ts';
import { firstRow } from '../../../src/screen/dialogs/first-row.ts';
import { paintKeyboard } from '../../../src/screen/dialogs/keyboard-painter.ts';
import { paintLaneDetail } from '../../../src/screen/dialogs/lane-detail-painter.ts';
import { recentOn } from '../../../src/screen/dialogs/recent-messages.ts';
import { paintSongList } from '../../../src/screen/dialogs/song-list-painter.ts';
import { paintStuckList } from '../../../src/screen/dialogs/stuck-painter.ts';
import { messageHex } from '../../../src/screen/format/message-hex.ts';
import { helpLines, shownKey } from '../../../src/screen/keys/help-lines.ts';
import { hintOf, keyHint } from '../../../src/screen/keys/key-hint.ts';
import { type KeyMode, LISTENING, PLAYING } from '../../../src/screen/keys/key-mode.ts';
import { KEY_TABLE } from '../../../src/screen/keys/key-table.ts';
import { songsMatching } from '../../../src/screen/scene/song-search.ts';
import { FIRST_STATE } from '../../../src/screen/state/screen-state.ts';
import { FIGURE_TABLE } from '../../../src/screen/theme/figure-table.ts';
import { glyphsFor } from '../../../src/screen/theme/glyphs.ts';
import { SIGN_TABLE } from '../../../src/screen/theme/sign-table.ts';
import { painted, sceneWith, touch } from '../../support/scene.ts';

describe('messages in hex (MIDI 1.0, Tables I to IV)', () => {
  const cases: readonly (readonly [number, string])[] = [
    [0x903c40, '90 3C 40'],
    [0x903c00, '90 3C 00'],
    [0x833c40, '83 3C 40'],
    [0xa03c20, 'A0 3C 20'],
    [0xb0407f, 'B0 40 7F'],
    [0xc04600, 'C0 46'],
    [0xd02000, 'D0 20'],
    [0xe00040, 'E0 00 40'],
    [0xe07f7f, 'E0 7F 7F'],
    [0xe00000, 'E0 00 00'],
  ];
  for (const [packed, hex] of cases) {
    test(hex, () => {
      expect(messageHex(packed)).toBe(hex);
    });
  }

  test('the latest of one channel come newest first, also when the ring has gone round', () => {
    const observed = createObservedState();
    for (let count = 0; count < 1_000; count += 1) {
      foldMessage(observed, 0xb0 | (count % 2), 7, count % 128, Float64Array.of(count, -1));
    }
    const found = recentOn(observed, 1, 3);
    expect(found.map((each) => each.atMicros)).toEqual([999, 997, 995]);
  });
});

describe('lane detail', () => {
  test('tells program, bank, controllers and share of all bytes', () => {
    const observed = createObservedState();
    const at = Float64Array.of(0, -1);
    for (const [status, data1, data2] of [
      [0xb2, 0, 1],
      [0xb2, 32, 3],
      [0xc2, 70, 0],
      [0xb2, 74, 99],
      [0x92, 60, 101],
    ] as const) {
      foldMessage(observed, status, data1, data2, at);
    }
    observed.bytes[2] = 14;
    observed.numbers[10] = 28;
    const scene = sceneWith({ observed, state: { ...FIRST_STATE, lane: 2 } });
    const text = painted(80, 16, (grid, area) => paintLaneDetail(grid, area, scene)).lines.join('\n');
    for (const words of [
      'Bassoon, program 71, bank 1/3',
      'C4 101',
      '14 bytes (50% of all)',
      '99 Brightness',
      'C2 46',
    ]) {
      expect(text).toContain(words);
    }
  });

  test('a pressed key lights the cell that its name stands under', () => {
    const observed = createObservedState();
    observed.velocity[60] = 100;
    observed.strikes[60] = 1;
    const { lines } = painted(128, 2, (grid) => paintKeyboard(grid, 0, 0, 128, 0, sceneWith({ observed })));
    expect([...lines[0]!].indexOf('█')).toBe(60);
    expect(lines[1]!.indexOf('C4')).toBe(60);
  });

  test('the keyboard moves by octaves to keys beyond its ends', () => {
    for (const key of [0, 20, 120, 127]) {
      const observed = createObservedState();
      observed.velocity[key] = 100;
      observed.strikes[key] = 1;
      const { lines } = painted(60, 2, (grid) => paintKeyboard(grid, 0, 0, 60, 0, sceneWith({ observed })));
      expect(lines[0], `key ${key}`).toContain('█');
    }
  });
});

describe('list of stuck notes', () => {
  const note = { velocity: 1, ageMicros: 12_000_000, beganSongMicros: 8_000_000, releasedChannel: -1 };
  const list = (stuck: Parameters<typeof sceneWith>[0]) =>
    painted(80, 12, (grid, area) => paintStuckList(grid, area, sceneWith(stuck))).lines;

  test('name, channel, age, bar and beat, cause; held by pedal apart below', () => {
    const lines = list({
      stuck: [
        { ...note, channel: 3, key: 61, cause: 'other-channel', releasedChannel: 4 },
        { ...note, channel: 0, key: 60, cause: 'held-by-pedal' },
      ],
    });
    expect(lines[1]).toMatch(/^▸ C#4\s+4\s+12 s\s+5:1\s+the song releases it on channel 5 instead$/);
    expect(lines[2]).toContain('held by the pedal');
    expect(lines[3]).toMatch(/C4\s+1\s+12 s/);
  });

  test('an empty list says so', () => {
    expect(list({ stuck: [] }).join('\n')).toContain('Nothing hangs');
  });
});

describe('song list', () => {
  const songs = ['Night/Harbour.mid', 'night/bells.mid', 'day/harbour two.mid'].map((name) => ({
    path: name,
    name,
    title: '',
    durationMicros: 61_000_000,
    verdict: 'fits',
    good: true,
  }));

  test('a search finds every song whose name holds all its words', () => {
    expect(songsMatching(songs, 'harb').map((song) => song.name)).toEqual([
      'Night/Harbour.mid',
      'day/harbour two.mid',
    ]);
    expect(songsMatching(songs, ' night HARB ').map((song) => song.name)).toEqual(['Night/Harbour.mid']);
    expect(songsMatching(songs, '')).toBe(songs);
  });

  test('a name full of control sequences shows harmless', () => {
    const hostile = [{ ...songs[0]!, name: 'a\u001b[2Jb\u0007\u202ec.mid' }];
    const { lines } = painted(80, 4, (grid, area) =>
      paintSongList(grid, area, sceneWith({ songs: hostile })),
    );
    expect(lines[1]).toMatch(/^▸ abc\.mid +1:01 +fits$/);
  });

  test('the chosen row stays in sight', () => {
    for (let chosen = 0; chosen < 50; chosen += 1) {
      const first = firstRow(chosen, 10, 50);
      expect(chosen).toBeGreaterThanOrEqual(first);
      expect(chosen).toBeLessThan(first + 10);
    }
    expect(firstRow(2, 10, 5)).toBe(0);
  });
});

describe('help', () => {
  const textsIn = (mode: KeyMode) =>
    helpLines(glyphsFor(false), mode)
      .filter((line) => !line.isHeading)
      .map((line) => line.text);

  test('while a song plays it has a line for every row of the key table and every sign', () => {
    const texts = textsIn(PLAYING);
    const meanings = SIGN_TABLE.map(({ meaning }) => meaning);
    const figures = FIGURE_TABLE.filter(({ needs }) => needs !== 'thru').map(({ meaning }) => meaning);
    const helps = KEY_TABLE.filter((row) => row.needs !== 'set').map((row) => row.help);
    expect(texts.toSorted()).toEqual([...helps, ...meanings, ...figures].toSorted());
  });

  test.each([
    ['listening with --thru', { ...LISTENING, output: true }],
    ['only listening', LISTENING],
  ])('while %s it has what has a meaning then, and nothing else', (_, mode) => {
    const texts = textsIn(mode);
    for (const row of [...KEY_TABLE, ...SIGN_TABLE.map(({ meaning, needs }) => ({ help: meaning, needs }))]) {
      const isSaid = texts.includes(row.help);
      const unheard = 'helpUnheard' in row ? row.helpUnheard : undefined;
      if (unheard !== undefined && !mode.output)
        expect([isSaid, texts.includes(unheard)]).toEqual([false, true]);
      // Two rows may share words: only the words of rows that all lack a meaning must be gone.
      else if (!row.needs || mode[row.needs]) expect(isSaid, row.help).toBe(true);
      else if (!KEY_TABLE.some(({ help, needs }) => help === row.help && (!needs || mode[needs])))
        expect(isSaid, row.help).toBe(false);
    }
    expect(helpLines(glyphsFor(false), mode).map(({ text }) => text)).not.toContain('Loop');
  });

  test('every line has room in its column', () => {
    const modes = [PLAYING, LISTENING];
    for (const text of modes.flatMap(textsIn)) expect(text.length, text).toBeLessThan(30);
    for (const { figure, meaning } of FIGURE_TABLE) {
      expect(figure.length, figure).toBeLessThan(12);
      expect(meaning.length, meaning).toBeLessThanOrEqual(26);
    }
  });
});

describe('hints of the bottom line', () => {
  test('name only keys that have a meaning', () => {
    expect(keyHint(80, PLAYING)).toContain('space play');
    expect(keyHint(80, { ...LISTENING, output: true })).toMatch(/^(?!.*(space|songs|tempo|bar)).*m mute/);
    expect(keyHint(80, LISTENING)).not.toMatch(/space|songs|tempo|bar|mute|solo/);
    const works = hintOf(
      [
        ['m mute', 'mute'],
        ['t tempo', 'tempo'],
        ['q quit', 'quit'],
      ],
      LISTENING,
    );
    expect(works).toEqual(['q quit']);
  });
});

test.each([true, false])('no two keys go by one name in the help (ascii: %s)', (ascii) => {
  const keys = new Set(KEY_TABLE.map((row) => row.keys[0]!));
  expect(new Set([...keys].map((key) => shownKey(key, glyphsFor(ascii)))).size).toBe(keys.size);
});

test('an unused lane opens without complaint', () => {
  const observed = createObservedState();
  touch(observed, 5, 0);
  const { lines } = painted(40, 10, (grid, area) => paintLaneDetail(grid, area, sceneWith({ observed })));
  expect(lines[0]).toContain('nothing was sent');
});
