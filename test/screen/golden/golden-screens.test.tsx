import { describe, expect, test } from 'vitest';
import type { LiveView } from '../../../src/core/compare/live-view.ts';
import { Follow } from '../../../src/core/follow/follow-state.ts';
import { GENERAL_MIDI } from '../../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../../src/core/instrument/instrument.ts';
import { soloOrchestra } from '../../../src/core/instrument/orchestra.ts';
import { Fault } from '../../../src/core/midi/stream-fault.ts';
import { createListenState, foldFault, Heard, SENSING } from '../../../src/core/observe/listen-state.ts';
import { type ObservedState, Slot } from '../../../src/core/observe/observed-state.ts';
import { Transport } from '../../../src/core/schedule/transport-board.ts';
import { profileNamed } from '../../../src/profile/profile-named.ts';
import { openTestScreen } from '../../../src/screen/ink-frame/open-test-screen.ts';
import { listeningView } from '../../../src/screen/listen/listening-view.ts';
import { runScreen } from '../../../src/screen/run-screen.tsx';
import type { SongChoice, SongView } from '../../../src/screen/state/song-view.ts';
import { playIntoObserved } from '../../support/play-into-observed.ts';
import { type ScreenSongOptions, screenSong } from '../../support/screen-song.ts';
import { stillPlayer } from '../../support/still-player.ts';

/** Bar 5, beat 1: 8.4 s into sixteen bars of four beats at 120 a minute. */
const MOMENT = 8_400_000;

interface Screen {
  readonly name: string;
  readonly size: readonly [columns: number, rows: number];
  readonly keys?: readonly string[];
  readonly song?: ScreenSongOptions;
  readonly ascii?: boolean;
  readonly instrument?: Instrument;
  readonly emptied?: readonly (readonly [channel: number, why: string])[];
  readonly prepare?: (observed: ObservedState) => void;
  /** What the golden file must hold in any case, so that it cannot be accepted empty. */
  readonly shows: readonly string[];
}

function loopOfFour({ numbers }: ObservedState): void {
  numbers[Slot.loopFromMicros] = 6_000_000;
  numbers[Slot.loopToMicros] = 14_000_000;
}

/** As if a clock came at so many quarters a minute, the last pulse just now. */
function followAt(numbers: Float64Array, state: number, tempo: number): void {
  numbers[Slot.followState] = state;
  numbers[Slot.followPeriodMicros] = 60_000_000 / 24 / tempo;
  numbers[Slot.followLastMicros] = MOMENT;
  numbers[Slot.tempoScale] = tempo / 120;
}

const SCREENS: readonly Screen[] = [
  {
    name: 'eight-voices-80x24',
    size: [80, 24],
    instrument: profileNamed('lindwurm-eight').instrument,
    prepare: (observed) => {
      // As if the song had chosen sounds that this instrument has: bank 0/1, programs 2 and 3; and one that it has not.
      for (const [channel, program] of [1, 2].entries()) {
        observed.program[channel] = program;
        observed.bankMsb[channel] = 0;
        observed.bankLsb[channel] = 1;
      }
      observed.program[2] = 52;
      observed.messages[2] = 1;
    },
    shows: ['Tin Piano (', 'Round Bass (', 'no Choir Aahs', 'not heard: ', 'voices', '/8'],
  },
  {
    name: 'no-part-left-80x24',
    size: [80, 24],
    instrument: { ...GENERAL_MIDI, voices: 8, parts: 4 },
    // As if fitted: what is left out before it is sent says why as well.
    emptied: [[8, 'left out: no part left']],
    prepare: (observed) => {
      // Piano and bass have two of the four; two more play between them and the strings.
      for (const [channel, program] of [
        [2, 73],
        [3, 11],
      ] as const) {
        observed.program[channel] = program;
        observed.noteOns[channel] = 4;
        observed.messages[channel] = 9;
      }
    },
    shows: [
      'Flute',
      'Vibraphone',
      'no part left: Choir Aahs',
      'left out: no part left',
      'Standard Drums',
      '/8',
    ],
  },
  {
    name: 'lanes-80x24',
    size: [80, 24],
    shows: ['Harbour Lights', 'Choir Aahs', '5:1', 'wire', 'hangs', 'q quit'],
  },
  {
    name: 'lanes-120x40',
    size: [120, 40],
    shows: ['Harbour Lights', 'G3 B3 D4', '5:1', 'wire', 'hangs', 'q quit'],
  },
  { name: 'lanes-40x12', size: [40, 12], shows: ['Harbour Lights', '5:1', 'wire', '16'] },
  { name: 'lanes-80x24-ascii', size: [80, 24], ascii: true, shows: ['Choir Aahs', '> 1', 'wire'] },
  { name: 'lanes-80x30', size: [80, 30], shows: ['channel 1', 'C5'] },
  { name: 'lanes-160x50', size: [160, 50], shows: ['stuck', 'sounding', '13'] },
  { name: 'lyrics-80x24', size: [80, 24], song: { lyrics: true, markers: false }, shows: ['slowly turn'] },
  {
    name: 'muted-and-solo-80x24',
    size: [80, 24],
    prepare: (observed) => {
      observed.muted[0] = 1;
      observed.soloed[1] = 1;
    },
    shows: [' 1M', ' 2S', ' 5w', 'plan 1%'],
  },
  {
    name: 'stuck-80x24',
    size: [80, 24],
    keys: ['h'],
    shows: ['stuck notes', 'on channel 13 instead', '2:1'],
  },
  { name: 'stuck-40x12', size: [40, 12], keys: ['h'], shows: ['stuck notes', 'E5', 'G5'] },
  {
    name: 'lane-detail-80x24',
    size: [80, 24],
    keys: ['enter'],
    shows: ['Channel Volume', '90 3C 28', 'C4 40'],
  },
  { name: 'lane-detail-40x12', size: [40, 12], keys: ['enter'], shows: ['Acoustic Grand Piano', 'sounding'] },
  { name: 'help-80x24', size: [80, 24], keys: ['?'], shows: ['play or pause', 'silence everything'] },
  {
    name: 'help-120x40',
    size: [120, 40],
    keys: ['?'],
    shows: ['play or pause', 'silence everything', 'quit'],
  },
  { name: 'help-40x12', size: [40, 12], keys: ['?'], shows: ['stuck after 10 s', 'more below'] },
  {
    name: 'help-end-80x24',
    size: [80, 24],
    keys: ['?', 'end'],
    shows: ['worst onset', 'hand-over', 'backlog'],
  },
  { name: 'help-silence-80x24', size: [80, 24], keys: ['?', 'z'], shows: ['silenced everything'] },
  {
    name: 'songs-silence-80x24',
    size: [80, 24],
    keys: ['/', 'ctrl-x'],
    shows: ['silenced everything', '1 of 3'],
  },
  {
    name: 'songs-title-40x12',
    size: [40, 12],
    keys: ['/', 'w', 'a', 'l', 't', 'z'],
    shows: ['search waltz_', '1 of 1'],
  },
  {
    name: 'loop-80x24',
    size: [80, 24],
    prepare: loopOfFour,
    shows: [' 4-7 ', '▾Quay ─'],
  },
  {
    name: 'loop-40x12',
    size: [40, 12],
    prepare: loopOfFour,
    shows: [' loop 4-7 ! E5 on 12 hangs'],
  },
  {
    name: 'loop-quiet-40x12',
    size: [40, 12],
    prepare: (observed) => {
      loopOfFour(observed);
      observed.strikes.fill(0);
    },
    shows: [' 1 Acoustic Grand Piano loop 4-7  '],
  },
  {
    name: 'follow-80x24',
    size: [80, 24],
    song: { follows: 'serial:/dev/ttyUSB0' },
    prepare: ({ numbers, strikes }) => {
      followAt(numbers, Follow.follows, 123.4);
      strikes.fill(0);
    },
    shows: ['▶ follows', '♩123.4'],
  },
  {
    name: 'follow-lost-80x24',
    size: [80, 24],
    song: { follows: 'serial:/dev/ttyUSB0' },
    prepare: ({ numbers }) => followAt(numbers, Follow.lost, 123.4),
    shows: ['▶ lost', 'no clock comes from serial:/dev/ttyUSB0; the music goes on'],
  },
  {
    name: 'follow-waits-40x12',
    size: [40, 12],
    song: { follows: 'serial:/dev/ttyUSB0' },
    prepare: ({ numbers, strikes }) => {
      followAt(numbers, Follow.waits, 123.4);
      numbers[Slot.transport] = Transport.stopped;
      strikes.fill(0);
    },
    shows: ['waits for Start'],
  },
  {
    name: 'count-in-80x24',
    size: [80, 24],
    prepare: (observed) => {
      observed.numbers[Slot.positionMicros] = -1_400_000;
      observed.numbers[Slot.positionAtMicros] = MOMENT;
      observed.numbers[Slot.countedToMicros] = 0;
    },
    shows: ['count   in 3'],
  },
  {
    name: 'count-in-later-80x24',
    size: [80, 24],
    prepare: (observed) => {
      observed.numbers[Slot.positionMicros] = 8_000_000 - 1_400_000;
      observed.numbers[Slot.positionAtMicros] = MOMENT;
      observed.numbers[Slot.countedToMicros] = 8_000_000;
    },
    shows: ['count   in 3'],
  },
  {
    name: 'songs-80x24',
    size: [80, 24],
    keys: ['/', 'a', 'r', 'b'],
    shows: ['harbour.mid', '2:44', 'fits', 'Under the Arbour', '1 of 2', 'ctrl-x'],
  },
  { name: 'log-80x24', size: [80, 24], keys: ['z', 'x', 'l'], shows: ['silenced everything', 'silenced E5'] },
  { name: 'number-80x24', size: [80, 24], keys: ['1', '7'], shows: ['17_', 'bar 17'] },
  { name: 'too-small-30x8', size: [30, 8], shows: ['40x12', '30x8'] },
];

const SONGS: readonly SongChoice[] = [
  {
    path: 'a/harbour.mid',
    name: 'harbour.mid',
    title: 'Harbour Lights',
    durationMicros: 164_000_000,
    verdict: 'fits',
    good: true,
  },
  {
    path: 'a/meadow.mid',
    name: 'meadow.mid',
    title: '',
    durationMicros: undefined,
    verdict: '',
    good: undefined,
  },
  {
    path: 'a/arbour.mid',
    name: 'arbour.mid',
    title: 'Under the Arbour, a Waltz for Two and Many More',
    durationMicros: 61_000_000,
    verdict: '34 ms late at 17:1',
    good: false,
  },
];

describe('screens at a fixed moment', () => {
  for (const {
    name,
    size,
    keys = [],
    song: songOptions,
    ascii = false,
    instrument,
    emptied = [],
    prepare,
    shows,
  } of SCREENS) {
    test(name, async () => {
      const song: SongView = {
        ...screenSong(songOptions),
        ...(instrument === undefined ? {} : { orchestra: soloOrchestra(instrument), knowsInstrument: true }),
        emptied: new Map(emptied),
      };
      const observed = playIntoObserved(song.timeline!, MOMENT);
      prepare?.(observed);
      const screen = openTestScreen(...size);
      const player = stillPlayer(observed, MOMENT);
      void runScreen({ player, song, screen, songs: () => SONGS, theme: { palette: 'none', ascii } });
      await screen.settle();
      await screen.press(...keys);
      const text = screen.text();
      screen.close();
      for (const words of shows) expect(text).toContain(words);
      if (ascii) expect(text).toMatch(/^[\n -~]*$/);
      for (const line of text.split('\n')) expect([...line].length).toBeLessThanOrEqual(size[0]);
      await expect(`${text}\n`).toMatchFileSnapshot(`${name}.screen`);
    });
  }
});

describe('large letters', () => {
  for (const [name, columns, rows, ascii, role] of [
    ['large-80x24', 80, 24, false, 'visitor'],
    ['large-ascii-80x24', 80, 24, true, 'visitor'],
    ['large-40x12', 40, 12, false, undefined],
    ['large-160x48', 160, 48, false, 'onlooker'],
  ] as const) {
    test(name, async () => {
      const song: SongView = {
        ...screenSong(),
        turn: { words: 'Harvest, song 2 of 9', next: 'night-ferry.mid' },
        place: { number: 2, of: 9, before: 'a', after: 'b' },
        ...(role === undefined ? {} : { keyRole: role }),
      };
      const screen = openTestScreen(columns, rows);
      const player = stillPlayer(playIntoObserved(song.timeline!, MOMENT), MOMENT);
      void runScreen({ player, song, screen, theme: { palette: 'none', ascii }, startLarge: true });
      await screen.settle();
      const text = screen.text();
      screen.close();
      if (ascii) expect(text).toMatch(/^[\n -~]*$/);
      for (const line of text.split('\n')) expect([...line].length).toBeLessThanOrEqual(columns);
      await expect(`${text}\n`).toMatchFileSnapshot(`${name}.screen`);
    });
  }
});

describe('an input held against a song', () => {
  for (const [name, columns, rows] of [
    ['against-80x24', 80, 24],
    ['against-120x40', 120, 40],
    ['against-40x12', 40, 12],
  ] as const) {
    test(name, async () => {
      const timeline = screenSong().timeline!;
      const observed = playIntoObserved(timeline, MOMENT);
      observed.onsetSongMicros.fill(-1);
      const cause = {
        code: 'bytes-lost',
        text: 'bytes are lost',
        evidence: 'at 2 places messages are broken or gone',
        look: '',
      };
      const notes = { song: 131, heard: 130, matched: 129, missing: 2, added: 1, changed: 0, late: 0 };
      const soFar = { notes, causes: [cause], differences: [], lateness: { p99Micros: 3540 } };
      const view = { state: 'following', songMicros: MOMENT, soFar, signs: [] } as unknown as LiveView;
      const screen = openTestScreen(columns, rows);
      const player = stillPlayer(observed, MOMENT);
      const song = listeningView('serial:/dev/ttyS0', true);
      const listen = createListenState();
      const theme = { palette: 'none', ascii: false } as const;
      void runScreen({ player, song, listen, screen, theme, against: { timeline, view } });
      await screen.settle();
      const text = screen.text();
      screen.close();
      for (const line of text.split('\n')) expect([...line].length).toBeLessThanOrEqual(columns);
      await expect(`${text}\n`).toMatchFileSnapshot(`${name}.screen`);
    });
  }
});

describe('the screen while an input is listened to', () => {
  for (const [name, columns, rows, keys] of [
    ['listen-80x24', 80, 24, []],
    ['listen-40x12', 40, 12, []],
    ['listen-faults-80x24', 80, 24, ['l']],
    ['listen-help-80x24', 80, 24, ['?']],
    ['listen-help-40x12', 40, 12, ['?']],
    ['only-heard-help-80x24', 80, 24, ['?']],
    ['listen-number-80x24', 80, 24, ['1', '2']],
  ] as const) {
    test(name, async () => {
      const observed = playIntoObserved(screenSong().timeline!, MOMENT);
      observed.onsetSongMicros.fill(-1);
      observed.numbers[Slot.transport] = 0;
      const listen = createListenState();
      listen.numbers[Heard.messages] = 321;
      listen.numbers[Heard.bytes] = 874;
      listen.numbers[Heard.clockBpm] = 119.96;
      listen.numbers[Heard.senderRunning] = 1;
      listen.numbers[Heard.sensing] = SENSING.alive;
      foldFault(listen, Fault.strayData, 12, 1, 0x3c, 0, 1_200_000);
      foldFault(listen, Fault.truncated, 733, 2, 0x93, 0x40, 7_400_000);
      const screen = openTestScreen(columns, rows);
      const player = stillPlayer(observed, MOMENT);
      const song = listeningView('serial:/dev/ttyAMA0', name.startsWith('only-heard'));
      void runScreen({ player, song, listen, screen, theme: { palette: 'none', ascii: false } });
      await screen.settle();
      await screen.press(...keys);
      const text = screen.text();
      screen.close();
      for (const words of ['2 faults', 'data byte with no status before it: 3C', 'byte 733']) {
        const isLog = keys.join() === 'l';
        if (columns >= 80 && (isLog || keys.length === 0) && isLog === words.includes('3C'))
          expect(text).toContain(words);
      }
      expect(text).toContain('listening to');
      expect(text).not.toMatch(/play or pause|tempo|loop|goes to bar/);
      await expect(`${text}\n`).toMatchFileSnapshot(`${name}.screen`);
    });
  }
});
