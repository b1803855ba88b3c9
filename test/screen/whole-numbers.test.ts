import { describe, expect, test } from 'vitest';
import type { LiveView } from '../../src/core/compare/live-view.ts';
import { causeWords, liveWords } from '../../src/core/compare/live-words.ts';
import { Fault } from '../../src/core/midi/stream-fault.ts';
import { createListenState, faultsSince, foldFault, Heard } from '../../src/core/observe/listen-state.ts';
import { Slot } from '../../src/core/observe/observed-state.ts';
import { PortTrouble } from '../../src/core/observe/port-state.ts';
import { STUCK_CAUSES, stuckCauseText } from '../../src/core/observe/stuck-notes.ts';
import { CellGrid } from '../../src/screen/cells/cell-grid.ts';
import { drawText } from '../../src/screen/cells/draw-text.ts';
import { gridText } from '../../src/screen/cells/grid-text.ts';
import { dialogArea } from '../../src/screen/dialogs/dialog-area.ts';
import { paintLaneDetail } from '../../src/screen/dialogs/lane-detail-painter.ts';
import { paintLog } from '../../src/screen/dialogs/log-painter.ts';
import { paintSongList } from '../../src/screen/dialogs/song-list-painter.ts';
import { paintStuckList } from '../../src/screen/dialogs/stuck-painter.ts';
import { clockText } from '../../src/screen/format/moment.ts';
import { largeLines, scaleFor } from '../../src/screen/large/large-lines.ts';
import { faultText } from '../../src/screen/listen/fault-text.ts';
import { listeningView } from '../../src/screen/listen/listening-view.ts';
import { messageOf } from '../../src/screen/panels/message-painter.ts';
import { layoutFor } from '../../src/screen/scene/layout.ts';
import { lyricLinesOf } from '../../src/screen/scene/lyric-lines.ts';
import type { Scene } from '../../src/screen/scene/scene.ts';
import { screenParts } from '../../src/screen/screen-parts.ts';
import { FIRST_STATE, type ScreenState } from '../../src/screen/state/screen-state.ts';
import { themeOf } from '../../src/screen/theme/theme.ts';
import { WholeNumbers } from '../support/number-tokens.ts';
import { playIntoObserved } from '../support/play-into-observed.ts';
import { sceneWith } from '../support/scene.ts';
import { screenSong } from '../support/screen-song.ts';

const NOW = 9_000_000;
/** Bar 16, beat 2, and it stands there. */
const POSITION = 30_600_000;
const DIALOGS = {
  lane: paintLaneDetail,
  log: paintLog,
  songs: paintSongList,
  stuck: paintStuckList,
} as const;

/** A song of which every figure is long. */
function longScene(parts: Partial<Scene> = {}, state: Partial<ScreenState> = {}): Scene {
  const song = {
    ...screenSong(),
    plannedWorst: () => ({ songMicros: 31_000_000, latenessMicros: 123_456_000 }),
  };
  const observed = playIntoObserved(song.timeline!, NOW);
  observed.velocity.forEach((velocity, at) => {
    if (velocity > 0) observed.velocity[at] = 110;
  });
  observed.bytes.fill(22_678);
  observed.heldBack.fill(1_234);
  observed.numbers[Slot.bytesSent] = 362_848;
  observed.numbers[Slot.worstOnsetLatenessMicros] = 1_234_567;
  observed.numbers[Slot.worstOnsetSongMicros] = 30_600_000;
  observed.numbers[Slot.worstHandoverLatenessMicros] = 987_654;
  observed.numbers[Slot.stalls] = 1_234;
  observed.numbers[Slot.skippedNoteOns] = 5_678;
  observed.numbers[Slot.heldSysEx] = 91;
  observed.numbers[Slot.transpose] = -24;
  observed.numbers[Slot.tempoScale] = 0.25;
  observed.numbers[Slot.loopFromMicros] = 20_000_000;
  observed.numbers[Slot.loopToMicros] = 30_000_000;
  observed.numbers[Slot.positionMicros] = POSITION;
  observed.numbers[Slot.positionAtMicros] = NOW;
  observed.numbers[Slot.peakLoad] = 0.957;
  observed.bend[0] = 1_234;
  return sceneWith({
    observed,
    song,
    nowMicros: NOW,
    wire: { load: 0.467, planned: 0.642, backlogMicros: 54_321, ports: [] },
    stuck: Array.from({ length: 60 }, (_, at) => ({
      channel: at % 16,
      key: 40 + at,
      velocity: 110,
      cause: 'other-channel' as const,
      ageMicros: 71_000_000 + at * 1_000_000,
      beganSongMicros: 30_000_000,
      releasedChannel: 15 - (at % 6),
    })),
    songs: Array.from({ length: 1_234 }, (_, at) => ({
      path: `${at}`,
      name: `disc 12345/song ${at * 7_919}.mid`,
      title: `Opus ${at * 104_729} in ${at} parts`,
      durationMicros: 4_567_000_000,
      verdict: `${12_345 % 10 ** (1 + (at % 5))} ms late at 1234:12`,
      good: false,
    })),
    ...parts,
    state: {
      ...FIRST_STATE,
      row: 500,
      log: Array.from({ length: 60 }, (_, at) => ({
        atMicros: 4_567_000_000,
        where: '1234:12',
        text: `channel ${at} program 12345 of ${at * 104_729}, and so many words that no row holds them all`,
      })),
      ...state,
    },
  });
}

function heardScene(parts: Partial<Scene> = {}, state: Partial<ScreenState> = {}): Scene {
  const listen = createListenState();
  listen.numbers[Heard.messages] = 1_234_567;
  listen.numbers[Heard.bytes] = 23_456_789;
  listen.numbers[Heard.sysEx] = 4_321;
  listen.numbers[Heard.clockBpm] = 123.46;
  listen.numbers[Heard.passedOn] = 34_567;
  listen.numbers[Heard.leftOut] = 8_642;
  foldFault(listen, Fault.truncated, 7_654_321, 2, 0x93, 0x40, 7_400_000);
  return longScene({ listen, song: listeningView('serial:/dev/ttyUSB12345'), ...parts }, state);
}

function againstScene(): Scene {
  const notes = {
    song: 7_654,
    heard: 7_531,
    matched: 7_420,
    missing: 1_234,
    added: 567,
    changed: 890,
    late: 0,
  };
  const cause = {
    code: 'bytes-lost',
    text: 'bytes are lost',
    evidence: 'at 2468 places messages of 13579 bytes are broken or gone, the first at 1234:56.7',
    look: '',
  };
  const soFar = { notes, causes: [cause], differences: [], lateness: { p99Micros: 98_765 } };
  const view = { state: 'following', songMicros: 29_000_000, soFar, signs: [] } as unknown as LiveView;
  return heardScene({ against: { timeline: screenSong().timeline!, view } });
}

const ALARM =
  'the disc is full: 12345.6 kB of 98765.4 kB were written to /home/4711/recordings/2026-11-26/take-123456789012345678901234567890.mid';

/** What may be before somebody's eyes. */
const SCENES: Readonly<Record<string, () => Scene>> = {
  'a song': longScene,
  'a song without markers': () =>
    longScene({ song: { ...longScene().song, ...screenSong({ markers: false }) } }),
  'a song with lyrics': () => {
    const lyric = (micros: number, text: string) => ({ micros, tick: 0, track: 0, text });
    const words =
      '24680 bottles of 13.57 litres and then 97531 more of 8642.0 each, and 11235813 on the wall';
    return longScene({
      song: screenSong({ lyrics: true }),
      lyricLines: lyricLinesOf([lyric(8_000_000, words), lyric(9_500_000, ' 31415 to go')]),
    });
  },
  'an alarm': () => longScene({ stuck: [] }, { alarm: ALARM }),
  'a word': () => longScene({}, { said: { text: ALARM, atMicros: NOW } }),
  'a number typed': () => longScene({}, { digits: '123456789012345' }),
  'ascii signs': () => longScene({ theme: themeOf({ palette: 'none', ascii: true }) }),
  'an instrument and its voices': () =>
    longScene({
      voices: { used: 117, there: 128, free: 11 },
      song: { ...longScene().song, knowsInstrument: true },
    }),
  visitors: () => longScene({ song: { ...longScene().song, keyRole: 'visitor' } }),
  'a count-in': () => {
    const scene = longScene();
    scene.observed.numbers[Slot.positionMicros] = -61_000_000;
    scene.observed.numbers[Slot.positionAtMicros] = NOW;
    return scene;
  },
  'a port that is gone': () => {
    const scene = longScene({ song: { ...longScene().song, portName: 'serial:/dev/ttyUSB12345@31250' } });
    scene.observed.numbers[Slot.portTrouble] = PortTrouble.lost;
    return scene;
  },
  'an input': heardScene,
  'an input held against a song': againstScene,
  'large letters': () =>
    longScene(
      {
        song: {
          ...longScene().song,
          title: 'Opus 104729 in 31415.9 parts',
          turn: { words: 'Harvest 98765, song 1234 of 5678', next: 'night 24680-13579.mid' },
        },
      },
      { isLarge: true },
    ),
};

const DIALOG_SCENES: readonly (readonly [string, keyof typeof DIALOGS, () => Scene])[] = [
  ['lane', 'lane', longScene],
  ['log', 'log', longScene],
  ['songs', 'songs', longScene],
  [
    'songs with a refusal',
    'songs',
    () => longScene({}, { refusal: ALARM, search: 'opus 123456789 part 98765.4' }),
  ],
  ['stuck', 'stuck', longScene],
  ['lane while listening', 'lane', heardScene],
  ['log while listening', 'log', heardScene],
  ['stuck while listening', 'stuck', heardScene],
];

/** Texts that the screen is made of, before any cut. */
function modelTexts(scene: Scene): string[] {
  const { song, state, against, listen, songs, stuck, lyricLines } = scene;
  return [
    song.title,
    song.portName,
    song.fileName,
    `-${clockText((song.durationMicros - POSITION) / 0.25)}`,
    song.turn?.words ?? '',
    song.turn?.next ?? '',
    song.turn?.next?.replace('.mid', '') ?? '',
    state.alarm ?? '',
    state.refusal ?? '',
    state.search,
    state.said?.text ?? '',
    ...state.log.flatMap(({ where, text }) => [where, text]),
    ...(messageOf(scene)?.texts ?? []),
    ...Object.values(STUCK_CAUSES),
    ...stuck.map(stuckCauseText),
    ...songs.flatMap(({ name, title, verdict }) => [name, title, verdict]),
    ...lyricLines.map(({ syllables }) => syllables.map((each) => each.text).join('')),
    ...(song.timeline?.markers.map(({ text }) => text) ?? []),
    ...(against ? liveWords(against.view, against.timeline) : []),
    ...(against?.view?.soFar?.causes.map(causeWords) ?? []),
    ...(listen ? faultsSince(listen, 0).map(faultText) : []),
    ...Array.from({ length: 1_400 }, (_, at) => `more below: ${at} lines`),
  ];
}

function paintedScreen(scene: Scene, columns: number, rows: number): CellGrid {
  const grid = new CellGrid(columns, rows);
  for (const part of screenParts(columns, rows, scene.song, scene.theme, scene.state.isLarge)) {
    grid.clip(part.area);
    if ('paint' in part) part.paint(grid, part.area, scene);
    else drawText(grid, part.area.x, part.area.y, part.text, part.style, part.area.width);
  }
  return grid;
}

function paintedDialog(scene: Scene, dialog: keyof typeof DIALOGS, width: number, height: number): CellGrid {
  const grid = new CellGrid(width, height);
  DIALOGS[dialog](grid, { x: 0, y: 0, width, height }, scene);
  return grid;
}

const ALL_COLUMNS = Array.from({ length: 161 }, (_, at) => 40 + at).filter(
  (columns) => columns <= 100 || columns % 7 === 4,
);
const ALL_ROWS = [12, 13, 20, 24, 40, 60];
/** From the smallest screen to a very large one: half of all, and the next scene has the other half. */
const sizesOf = (scene: number): readonly (readonly [number, number])[] =>
  ALL_COLUMNS.flatMap((columns) =>
    ALL_ROWS.filter((_, at) => (at + columns + scene) % 2 === 0).map((rows) => [columns, rows] as const),
  );

describe('no number on the screen is the head of a longer one, at any size', () => {
  test.each(Object.entries(SCENES).map(([name, make], at) => [name, at, make] as const))(
    'the lanes and panels of %s',
    (_, at, make) => {
      const scene = make();
      const large = [200, 400].map((columns) => gridText(paintedScreen(scene, columns, 60)));
      const whole = new WholeNumbers([...large, ...modelTexts(scene)]);
      expect(whole.size).toBeGreaterThan(10);
      for (const [columns, rows] of sizesOf(at)) {
        const text = gridText(paintedScreen(scene, columns, rows));
        expect(whole.faultsIn(text), `${columns}x${rows}\n${text}`).toEqual([]);
      }
    },
  );

  test.each(DIALOG_SCENES.map(([name, dialog, make], at) => [name, at, dialog, make] as const))(
    'the dialog %s',
    (_, at, dialog, make) => {
      const made = make();
      const scene = { ...made, state: { ...made.state, dialog } };
      const large = [200, 400].map((width) => gridText(paintedDialog(scene, dialog, width, 1_300)));
      const whole = new WholeNumbers([...large, ...modelTexts(scene)]);
      expect(whole.size).toBeGreaterThan(3);
      for (const [columns, rows] of sizesOf(at)) {
        const { width, height } = dialogArea(layoutFor(columns, rows)!, dialog);
        const text = gridText(paintedDialog(scene, dialog, width, height - 2));
        expect(whole.faultsIn(text), `${columns}x${rows}\n${text}`).toEqual([]);
      }
    },
  );

  test('large letters', () => {
    for (const [at, words] of [
      'Opus 104729 in 31415.9 parts, number 12',
      '-1234:56',
      '9876543210 bottles',
      ALARM,
    ].entries()) {
      const whole = new WholeNumbers([words, words.toUpperCase()]);
      for (const [width, height] of sizesOf(at)) {
        const area = { x: 0, y: 0, width, height };
        for (let most = 7; most < height; most += 5) {
          const lines = largeLines(words, most, area, scaleFor(area, true));
          if (!lines[0]!.isLarge) continue;
          const text = lines.map((line) => line.text.replace(/\.\.\.$/, '…')).join('\n');
          expect(whole.faultsIn(text), `${width}x${height}, ${most} rows\n${text}`).toEqual([]);
        }
      }
    }
  });
});
