import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { KEY_TABLE } from '../../src/screen/keys/key-table.ts';
import { type DeltaEvent, meta, songBytes, tempo } from '../support/song-bytes.ts';
import { tempFolder } from '../support/temp-folder.ts';
import type { WireReader } from '../support/wire-reader.ts';
import { type ProgramRun, preparePrograms, startProgramShell } from './program-run.ts';

preparePrograms();

const BAR = 384;
const HANGING = { channel: 2, keys: [76, 79] } as const;
const OTHER_HANGING = { channel: 3, keys: [50] } as const;

const folder = tempFolder('keys');
const songs = ['first', 'second'].map((name) => {
  const path = join(folder, `${name}.mid`);
  writeFileSync(path, song(name));
  return path;
});

/** 32 bars of 4/4 at 120 a minute: a beat on channel 1, markers, and three notes that nothing releases. */
function song(name: string): Uint8Array {
  const marks = Object.entries({ 1: 'Tide', 5: 'Quay', 9: 'Lamps', 21: 'Home' });
  const conductor: DeltaEvent[] = [
    [0, meta(0x03, Buffer.from(`song ${name}`))],
    [0, tempo(500_000)],
    [0, meta(0x58, [4, 2, 24, 8])],
  ];
  let bar = 1;
  for (const [at, text] of marks) {
    conductor.push([(Number(at) - bar) * BAR, meta(0x06, Buffer.from(text))]);
    bar = Number(at);
  }
  const beats: DeltaEvent[] = [[0, [0xc0, 0]]];
  for (let beat = 0; beat < 128; beat += 1) beats.push([0, [0x90, 60, 80]], [96, [0x80, 60, 64]]);
  const hanging: DeltaEvent[] = [HANGING, OTHER_HANGING].flatMap(({ channel, keys }) =>
    keys.map((key): DeltaEvent => [0, [0x90 | channel, key, 90]]),
  );
  return songBytes([conductor, beats, hanging]);
}

/** What xterm sends for a key that is more than its letter (its control-sequence documentation; VT220). */
const SENT: Readonly<Record<string, string>> = {
  space: ' ',
  left: '\x1b[D',
  right: '\x1b[C',
  up: '\x1b[A',
  down: '\x1b[B',
  home: '\x1b[H',
  end: '\x1b[F',
  'page-up': '\x1b[5~',
  'page-down': '\x1b[6~',
  enter: '\r',
  escape: '\x1b',
  backspace: '\x7f',
  'ctrl-c': '\x03',
  'ctrl-l': '\x0c',
  'ctrl-x': '\x18',
  'ctrl-z': '\x1a',
};

interface Step {
  /** Numbers and keys as typed; the last is the one under test. */
  readonly keys: readonly string[];
  readonly shows?: RegExp;
  readonly hides?: RegExp;
  readonly hears?: (wire: WireReader) => boolean;
}

const isOpen = (wire: WireReader, { channel, keys }: { channel: number; keys: readonly number[] }) =>
  keys.some((key) => (wire.open.get(channel * 128 + key) ?? 0) > 0);

/** In order; the music plays at first, and stands still while jumps are made, so that each is seen exactly. */
const STEPS: readonly (readonly [action: string, step: Step])[] = [
  ['stuck-limit', { keys: ['2', '0', 'a'], shows: /stuck after 20 s/ }],
  ['stuck-list', { keys: ['h'], shows: /▸ E5/ }],
  ['stuck-down', { keys: ['down'], shows: /▸ G5/ }],
  ['stuck-up', { keys: ['up'], shows: /▸ E5/ }],
  [
    'silence-note',
    {
      keys: ['x'],
      hears: (wire) => !isOpen(wire, { ...HANGING, keys: [76] }) && isOpen(wire, { ...HANGING, keys: [79] }),
    },
  ],
  ['close', { keys: ['escape'], hides: /stuck notes/ }],
  [
    'silence-lane',
    { keys: ['3', 'X'], hears: (wire) => !isOpen(wire, HANGING) && isOpen(wire, OTHER_HANGING) },
  ],
  ['silence-all', { keys: ['z'], hears: (wire) => !isOpen(wire, OTHER_HANGING) }],
  ['log', { keys: ['l'], shows: /silenced everything/ }],
  ['log', { keys: ['l'], hides: /esc closes/ }],
  ['large', { keys: ['L'], shows: /█▄▄▄/, hides: /▸/ }],
  ['large', { keys: ['L'], shows: /▸/ }],
  ['keep-settings', { keys: ['W'], shows: /that key keeps settings for a song of a set/ }],
  ['choose-lane', { keys: ['1', 'c'], shows: /▸ 1/ }],
  ['program-next', { keys: ['i'], shows: /Bright/, hears: (wire) => wire.said.get('0:program') === 1 }],
  ['program-last', { keys: ['I'], hides: /Bright/, hears: (wire) => wire.said.get('0:program') === 0 }],
  ['lane-as-written', { keys: ['f'], hides: /≠/ }],
  ['play-pause', { keys: ['space'], shows: /‖ paused/, hears: (wire) => wire.sounding === 0 }],

  ['erase-digit', { keys: ['1', '8', 'backspace'], shows: /^ 1_/m }],
  ['go-to-bar', { keys: ['7', 'g'], shows: /paused +17:1 / }],
  ['bar-back', { keys: ['left'], shows: /paused +16:1 / }],
  ['bar-on', { keys: ['right'], shows: /paused +17:1 / }],
  ['bars-back', { keys: ['['], shows: /paused +13:1 / }],
  ['bars-on', { keys: [']'], shows: /paused +17:1 / }],
  ['next-marker', { keys: ['n'], shows: /paused +21:1 / }],
  ['last-marker', { keys: ['p'], shows: /paused +9:1 / }],
  ['song-start', { keys: ['b'], shows: /paused +1:1 / }],
  ['song-end', { keys: ['e'], shows: /paused +32:1 / }],
  ['song-start', { keys: ['home'], shows: /paused +1:1 / }],
  ['song-end', { keys: ['end'], shows: /paused +32:1 / }],
  ['go-to-percent', { keys: ['5', '0', '%'], shows: /paused +17:1 / }],
  ['worst-spot', { keys: ['w'], shows: /paused +(\d+:\d+) [\s\S]*latest onset at \1/ }],

  ['choose-lane', { keys: ['5', 'c'], shows: /▸ 5/ }],
  ['lane-up', { keys: ['4', 'up'], shows: /▸ 1/ }],
  ['lane-down', { keys: ['down'], shows: /▸ 2/ }],
  ['lane-up', { keys: ['up'], shows: /▸ 1/ }],
  ['mute', { keys: ['m'], shows: /▸ 1M/ }],
  ['all-heard', { keys: ['u'], hides: /▸ 1M/ }],
  ['solo', { keys: ['s'], shows: /▸ 1S/ }],
  ['solo', { keys: ['s'], hides: /▸ 1S/ }],
  ['softer', { keys: ['v'], shows: /≠/ }],
  ['louder', { keys: ['V'], hides: /≠/ }],
  ['lane-down-semitone', { keys: ['k'], shows: /≠/ }],
  ['lane-up-semitone', { keys: ['K'], hides: /≠/ }],

  ['slower', { keys: ['-'], shows: /×0\.95/ }],
  ['faster', { keys: ['+'], hides: /×/ }],
  ['faster', { keys: ['='], shows: /×1\.05/ }],
  ['tempo', { keys: ['t'], hides: /×/ }],
  ['transpose-down', { keys: ['<'], shows: /key [-−]1/ }],
  ['transpose-up', { keys: ['3', '>'], shows: /key \+2/ }],
  ['original-pitch', { keys: ['o'], hides: /key [-−+]/ }],
  ['loop-from', { keys: ['2', '('], shows: /⟦/ }],
  ['loop-to', { keys: ['4', ')'], shows: /⟧/ }],
  ['loop-off', { keys: ['|'], hides: /[⟦⟧]/ }],
  ['stop', { keys: ['.'], shows: /■ stopped/ }],

  ['lane-detail', { keys: ['enter'], shows: /── channel 1 / }],
  ['lane-detail', { keys: ['enter'], hides: /── channel/ }],
  ['lane-detail', { keys: ['d'], shows: /── channel 1 / }],
  ['close', { keys: ['escape'], hides: /── channel/ }],
  ['help', { keys: ['?'], shows: /── keys/ }],
  ['song-list', { keys: ['/'], shows: /▸ first/ }],
  ['search', { keys: ['s', 'e', 'c'], shows: /search sec_/, hides: /first\.mid/ }],
  ['erase-letter', { keys: ['backspace'], shows: /search se_/ }],
  ['silence-all', { keys: ['ctrl-x'], shows: /silenced everything/ }],
  ['close', { keys: ['escape'], hides: /search/ }],
  ['song-list', { keys: ['/'], shows: /▸ first/ }],
  ['row-down', { keys: ['down'], shows: /▸ second/ }],
  ['row-up', { keys: ['up'], shows: /▸ first/ }],
  ['row-last', { keys: ['end'], shows: /▸ second/ }],
  ['row-first', { keys: ['home'], shows: /▸ first/ }],
  ['page-down', { keys: ['page-down'], shows: /▸ second/ }],
  ['page-up', { keys: ['page-up'], shows: /▸ first/ }],
  ['row-down', { keys: ['down'], shows: /▸ second/ }],
  ['open-song', { keys: ['enter'], shows: /song second .*▶ playing/ }],
  ['last-song', { keys: ['P'], shows: /song first .*▶ playing/ }],
  ['next-song', { keys: ['N'], shows: /song second .*▶ playing/ }],
];

function press(run: ProgramRun, keys: readonly string[]): void {
  for (const key of keys) run.send(SENT[key] ?? key);
}

it('every key of the table does what it says, on the screen or on the wire', async () => {
  const tried = new Set<string>(['ctrl-l repaint', 'ctrl-z suspend', 'q quit', 'ctrl-c quit-anywhere']);
  const run = startProgramShell({ songs });
  await run.untilText('prompt>');
  run.send('$PLAY\r');
  await run.untilText('▶ playing');
  await run.wire.until((wire) => isOpen(wire, HANGING) && isOpen(wire, OTHER_HANGING), 'hanging');
  await run.untilText('hangs');
  for (const [action, { keys, shows, hides, hears }] of STEPS) {
    const what = `${action} by ${keys.join(' ')}`;
    press(run, keys);
    await run.until((text) => (shows?.test(text) ?? true) && !(hides?.test(text) ?? false), what);
    if (hears) await run.wire.until(hears, what);
    tried.add(`${keys.at(-1)} ${action}`);
  }

  press(run, ['space']);
  await run.untilText('‖ paused');
  // The load of the last half second falls to nothing meanwhile.
  await run.untilText(/wire +0%/);
  await run.untilQuiet(400);
  const before = { received: run.received, text: run.text() };
  press(run, ['ctrl-l']);
  await run.until(() => run.received > before.received + 500, 'a screen drawn anew');
  await run.untilQuiet(200);
  expect(run.text()).toBe(before.text);

  press(run, ['ctrl-z']);
  await run.untilText('Stopped');
  run.send('fg\r');
  await run.untilText(/song second/);

  for (const key of ['q', 'ctrl-c']) {
    press(run, [key]);
    await run.until((text) => /prompt> *$/.test(text.trimEnd()), `the prompt after ${key}`);
    await run.wire.until((wire) => wire.sounding === 0, 'silence');
    if (key === 'ctrl-c') break;
    run.send('clear; $PLAY\r');
    await run.untilText('▶ playing');
  }
  expect(run.wire.reader.faults).toEqual([]);

  const all = KEY_TABLE.flatMap(({ keys, action }) => keys.map((key) => `${key} ${action}`));
  expect(all.filter((each) => !tried.has(each))).toEqual([]);
});
