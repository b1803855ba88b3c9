import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeAll } from 'vitest';
import { type PtyRun, type PtyRunOptions, runInPty } from '../support/pty-run.ts';
import { WIREPIT } from '../support/run-wirepit.ts';
import { type DeltaEvent, meta, songBytes, tempo } from '../support/song-bytes.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { WirePipe } from '../support/wire-pipe.ts';

export interface ProgramRun extends PtyRun {
  /** What goes out on the wire, read as a receiver reads it. */
  readonly wire: WirePipe;
}

let folder: string;
let song: string;
const opened: PtyRun[] = [];
const wires: WirePipe[] = [];
let count = 0;

/** Called once in a test file: makes the song, ends what each test began. Modules outlive a file (vitest.config.ts). */
export function preparePrograms(): void {
  folder = tempFolder('program');
  beforeAll(() => {
    song = join(folder, 'chords.mid');
    writeFileSync(song, chords());
  });
  afterEach(async () => {
    for (const run of opened.splice(0)) await run.close();
    for (const wire of wires.splice(0)) wire.close();
  });
}

/** The built program playing the chords, or `song`, in a pty. `shell` is a script that finds the command in "$@". */
export function startProgram(
  args: readonly string[] = [],
  options: PtyRunOptions & { readonly shell?: string; readonly song?: string } = {},
): ProgramRun {
  const wire = openWire();
  const command = [process.execPath, WIREPIT, options.song ?? song, '--port', `raw:${wire.path}`, ...args];
  const { shell } = options;
  const run =
    shell === undefined
      ? runInPty(command[0]!, command.slice(1), options)
      : runInPty('bash', ['--norc', '--noprofile', '-c', shell, 'bash', ...command], options);
  opened.push(run);
  return withWire(run, wire);
}

/** An interactive shell with the command in $PLAY; `songs` are played instead of the chords. */
export function startProgramShell(
  options: PtyRunOptions & { readonly songs?: readonly string[] } = {},
): ProgramRun {
  const wire = openWire();
  const songs = options.songs ?? [song];
  const PLAY = [process.execPath, WIREPIT, ...songs, '--port', `raw:${wire.path}`].join(' ');
  const environment = { ...options.environment, PLAY, PS1: 'prompt> ' };
  const run = runInPty('bash', ['--norc', '--noprofile', '-i'], { ...options, environment });
  opened.push(run);
  return withWire(run, wire);
}

function openWire(): WirePipe {
  const wire = new WirePipe(join(folder, `wire-${++count}`));
  wires.push(wire);
  return wire;
}

function withWire(run: PtyRun, wire: WirePipe): ProgramRun {
  return Object.assign(run, { wire });
}

/**
 * Two minutes of held chords, four notes on each of four channels, every half second, so that something sounds
 * at nearly every moment. Its title tries everything a terminal might obey.
 */
function chords(): Uint8Array {
  const title =
    'Harm\u001b]52;c;aGFybQ==\u0007less\u001b[2J\u001b]0;taken\u001b\\ \u0007\u000etide\u001b[?1049l';
  const events: DeltaEvent[] = [
    [0, meta(0x03, Buffer.from(title, 'latin1'))],
    [0, tempo(500_000)],
    ...[0, 32, 48, 73].map((program, channel): DeltaEvent => [0, [0xc0 | channel, program]]),
  ];
  const notes = [0, 1, 2, 3].flatMap((channel) =>
    [0, 4, 7, 12].map((step) => [channel, 48 + channel * 5 + step]),
  );
  for (let beat = 0; beat < 240; beat++) {
    for (const [channel, key] of notes) events.push([0, [0x90 | channel!, key!, 80]]);
    for (const [at, [channel, key]] of notes.entries())
      events.push([at === 0 ? 90 : 0, [0x80 | channel!, key!, 64]]);
    events.push([6, [0xb0, 11, 100]]);
  }
  return songBytes([events]);
}
