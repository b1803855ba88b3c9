// Length: one day, one account: what is broken, what is judged and what is remembered belong together.
/**
 * A day of a show in which things go wrong, on the virtual clock and by a seed: cables that come out for a moment or for
 * minutes, song files that are spoilt or away for a while, a disk that is full (`/dev/full` in the place of the show's
 * own files, so that the kernel says it), a machine that stands still. The set, its turns, the journal, the state and the
 * engine are the program's own; two ports carry eight channels each.
 *
 * Judged from the bytes, by a reader that shares no code with the program: for each port one that stays on while the
 * cable is out, and one that is switched on with each plugging in.
 */
import {
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  unlinkSync,
  writeFileSync,
} from 'node:fs';
import { basename, join } from 'node:path';
import { parseMidi } from 'midi-file';
import { LeftFromBefore } from '../../../src/cli/play/left-from-before.ts';
import { PortReturn } from '../../../src/cli/show/port-return.ts';
import { runShow } from '../../../src/cli/show/run-show.ts';
import { virtualShowClock } from '../../../src/cli/show/show-clock.ts';
import { ShowReport } from '../../../src/cli/show/show-report.ts';
import type { Leave, ShowStage, SongTurn } from '../../../src/cli/show/show-stage.ts';
import type { ShowFlags } from '../../../src/cli/show/song-flags.ts';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { PortTrouble } from '../../../src/core/observe/port-state.ts';
import { songPosition } from '../../../src/core/observe/song-position.ts';
import { Transport } from '../../../src/core/schedule/transport-board.ts';
import { decodeShowState } from '../../../src/core/show/show-state.ts';
import { openVirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { WRITE_LOST, type WriteOutcome } from '../../../src/ports/output-port.ts';
import { readSet } from '../../../src/show/read-set.ts';
import { ShowFiles } from '../../../src/show/show-files.ts';
import { seeded } from '../../support/seeded.ts';
import { type DeltaEvent, songBytes, tempo } from '../../support/song-bytes.ts';
import { WireReader } from '../../support/wire-reader.ts';

export interface DayOptions {
  /** A folder of its own, empty. */
  readonly folder: string;
  readonly hours: number;
  readonly seed: number;
  readonly songs: number;
  /** Called at each song's end, for samples of memory and descriptors; hours of the day that have passed. */
  readonly onSong?: (hours: number) => void;
}

export interface Day {
  /** What was not as it should be, in words. */
  readonly wrong: readonly string[];
  readonly songs: number;
  /** How often each kind of fault came. */
  readonly faults: Readonly<Record<FaultKind, number>>;
  /** Songs that were passed over because their file was bad at that moment. */
  readonly passedOver: number;
  readonly noteOns: number;
  /** Songs that met no fault, and had every note of their file on the wire. */
  readonly whole: number;
}

const FAULTS = [
  'cable',
  'long cable',
  'spoilt song',
  'song away',
  'full disk',
  'stood still',
  'slept',
  'cable at the end',
] as const;
type FaultKind = (typeof FAULTS)[number];

const LOOK_MICROS = 200_000;
const HOUR_MICROS = 3_600_000_000;
/** Mean run time between two faults. */
const FAULT_EVERY_MICROS = 150_000_000;

/** A module at the end of a cable. */
class Cable extends MockPort {
  isIn = true;
  /** A module that stays on, whatever becomes of the cable, and one that is switched on as it is put in. */
  readonly module = new WireReader();
  fresh = new WireReader();
  noteOns = 0;

  override write(bytes: Uint8Array, start: number, length: number, at: Float64Array): WriteOutcome {
    if (!this.isIn) return WRITE_LOST;
    const taken = bytes.slice(start, start + length);
    this.module.read(taken);
    this.fresh.read(taken);
    return super.write(bytes, start, length, at);
  }

  gone(): boolean {
    return !this.isIn;
  }

  revive(): boolean {
    return this.isIn;
  }

  plug(isIn: boolean): void {
    if (isIn && !this.isIn) this.fresh = new WireReader();
    this.isIn = isIn;
  }

  /** A reader keeps all it read; a day of it would be what grows. */
  forget(): void {
    this.noteOns += this.module.noteOns.length;
    for (const reader of [this.module, this.fresh]) {
      reader.messages.length = 0;
      reader.noteOns.length = 0;
    }
  }
}

/** The show's disk, which can be full. */
class Disk {
  isFull = false;
  readonly #files: ShowFiles;

  constructor(files: ShowFiles) {
    this.#files = files;
  }

  fill(): void {
    if (this.isFull) return;
    this.isFull = true;
    if (existsSync(this.#files.journalPath))
      renameSync(this.#files.journalPath, `${this.#files.journalPath}.kept`);
    symlinkSync('/dev/full', this.#files.journalPath);
    this.block();
  }

  /** A draft that could not be written is taken away, so the way is barred anew before each writing. */
  block(): void {
    const draft = `${this.#files.statePath}.${process.pid}.new`;
    if (this.isFull && !existsSync(draft)) symlinkSync('/dev/full', draft);
  }

  makeRoom(): void {
    if (!this.isFull) return;
    this.isFull = false;
    rmSync(`${this.#files.statePath}.${process.pid}.new`, { force: true });
    unlinkSync(this.#files.journalPath);
    if (existsSync(`${this.#files.journalPath}.kept`))
      renameSync(`${this.#files.journalPath}.kept`, this.#files.journalPath);
  }
}

/** Something that is mended at a run time of the day. */
interface Mending {
  readonly at: number;
  readonly mend: () => void;
}

export async function playDay({ folder, hours, seed, songs: count, onSong }: DayOptions): Promise<Day> {
  const chance = seeded(seed);
  const set = writeSet(folder, count, chance);
  const read = readSet(set);
  const originals = read.set.songs.map(({ path }) => readFileSync(path));
  const notes = originals.map(noteOnsOf);
  const files = new ShowFiles(read.path, join(folder, 'state'));
  const disk = new Disk(files);
  const left = new LeftFromBefore();
  const cables = [new Cable(), new Cable()];
  const clock = virtualShowClock(new Date(2026, 10, 26, 0, 0, 0));
  const bad = new Set<number>();
  const faults = Object.fromEntries(FAULTS.map((kind) => [kind, 0])) as Record<FaultKind, number>;
  const wrong: string[] = [];
  const journal: string[] = [];
  let [day, passedOver, whole, expected] = [0, 0, 0, 0];
  let mendings: Mending[] = [];
  let nextFault = FAULT_EVERY_MICROS * chance();
  let played = 0;
  /** The next song loses a cable so long before its end, or behind it (µs). */
  let cutBefore = Number.NEGATIVE_INFINITY;

  /** How the jump in time that a fault is, if it is one, goes: microseconds. */
  const breakSomething = (now: number): number => {
    const kind = FAULTS[Math.floor(chance() * FAULTS.length)]!;
    faults[kind] += 1;
    const later = (seconds: number, mend: () => void): void => {
      mendings.push({ at: now + seconds * 1e6, mend });
    };
    if (kind === 'cable' || kind === 'long cable') {
      const cable = cables[Math.floor(chance() * cables.length)]!;
      cable.plug(false);
      later(kind === 'cable' ? 0.05 + chance() * 3 : 10 + chance() * 300, () => cable.plug(true));
    } else if (kind === 'spoilt song' || kind === 'song away') {
      const song = Math.floor(chance() * count);
      const { path } = read.set.songs[song]!;
      bad.add(song);
      if (kind === 'song away') rmSync(path, { force: true });
      else writeFileSync(path, originals[song]!.subarray(0, Math.floor(chance() * 12)));
      later(60 + chance() * 7200, () => {
        writeFileSync(path, originals[song]!);
        bad.delete(song);
      });
    } else if (kind === 'full disk') {
      disk.fill();
      later(5 + chance() * 900, () => disk.makeRoom());
    } else if (kind === 'cable at the end') cutBefore = (chance() - 0.3) * 2e6;
    else return kind === 'stood still' ? (0.1 + chance() * 2) * 1e6 : (3 + chance() * 600) * 1e6;
    return 0;
  };

  const mendWhatIsDue = (now: number): void => {
    for (const { mend } of mendings.filter(({ at }) => at <= now)) mend();
    mendings = mendings.filter(({ at }) => at > now);
  };

  const stage: ShowStage = {
    async play(turn: SongTurn, onPosition: (songMicros: number) => void): Promise<Leave> {
      // What was passed over since the last song must have been bad, and what is played good.
      for (; expected % count !== turn.song; expected += 1) {
        if (bad.has(expected % count)) passedOver += 1;
        else wrong.push(`song ${(expected % count) + 1} was lost without a reason at ${hoursOf(day)}`);
      }
      if (bad.has(turn.song)) wrong.push(`song ${turn.song + 1} is played though its file is bad`);
      expected += 1;
      played += 1;
      const options = left.with(turn.prepared.options);
      const lanes = cables.map((port, index) => ({
        port,
        channels: Array.from({ length: 8 }, (_, channel) => index * 8 + channel),
      }));
      const before = cables.reduce((sum, cable) => sum + cable.module.noteOns.length, 0);
      const player = await openVirtualPlayer(options, lanes);
      const portReturn = new PortReturn(options.startMicros ?? 0);
      let isQuiet = cables.every(({ isIn }) => isIn);
      for (let now = LOOK_MICROS; ; now += LOOK_MICROS) {
        mendWhatIsDue(day + now);
        let goesOn = true;
        if (day + now >= nextFault) {
          nextFault = day + now - Math.log(1 - chance()) * FAULT_EVERY_MICROS;
          isQuiet = false;
          const jump = breakSomething(day + now);
          now += jump;
          if (jump > 0) goesOn = player.stallTo(now);
        }
        goesOn = goesOn && player.advanceTo(now);
        if (!goesOn) break;
        player.lookAfterPorts();
        const isLost = player.observed.numbers[Slot.portTrouble] === PortTrouble.lost;
        for (const command of portReturn.look(isLost)) player.send(command);
        const left = options.durationMicros - songPosition(player.observed, now);
        const isEnded = player.observed.numbers[Slot.transport] === Transport.ended;
        if (cutBefore > Number.NEGATIVE_INFINITY && (cutBefore > 0 ? left < cutBefore : isEnded)) {
          const cable = cables[Math.floor(chance() * cables.length)]!;
          cable.plug(false);
          mendings.push({ at: day + now + (0.1 + chance() * 60) * 1e6, mend: () => cable.plug(true) });
          cutBefore = Number.NEGATIVE_INFINITY;
          isQuiet = false;
        }
        disk.block();
        onPosition(songPosition(player.observed, now));
        if (now > MOST_SONG_MICROS) {
          wrong.push(`${basename(turn.prepared.loaded.path)} does not end`);
          await player.close();
          break;
        }
      }
      const end = await player.ended;
      if (end.kind === 'fault') throw end.error;
      left.ended(player, options);
      day += player.nowMicros();
      clock.passed(player.nowMicros());
      const heard = cables.reduce((sum, cable) => sum + cable.module.noteOns.length, 0) - before;
      if (isQuiet) {
        if (heard === notes[turn.song]) whole += 1;
        else wrong.push(`${basename(turn.prepared.loaded.path)}: ${heard} of ${notes[turn.song]} notes`);
      }
      for (const [index, cable] of cables.entries()) judge(index, cable, turn);
      mustBeReadable(turn);
      disk.block();
      onSong?.(day / HOUR_MICROS);
      return day >= hours * HOUR_MICROS ? 'quit' : 'ended';
    },
    async wait({ seconds }) {
      await clock.wait(seconds * 1000);
      return 'ended';
    },
    tell(words: string) {
      if (words.startsWith('passed over')) journal.push(words);
    },
  };

  function judge(index: number, cable: Cable, turn: SongTurn): void {
    const where = `cable ${index + 1} after ${basename(turn.prepared.loaded.path)} at ${hoursOf(day)}`;
    // With the cable out nobody can end anything; it is judged after the first song that finds it in.
    if (cable.isIn) {
      for (const [name, reader] of [
        ['the module', cable.module],
        ['the module that was switched on again', cable.fresh],
      ] as const) {
        if (reader.sounding > 0) wrong.push(`${where}: ${reader.sounding} hang in ${name}`);
        if (reader.unrestful.length > 0) wrong.push(`${where}: ${reader.unrestful.join(', ')} in ${name}`);
        if (reader.faults.length > 0) wrong.push(`${where}: ${reader.faults[0]} in ${name}`);
        reader.faults.length = 0;
      }
    }
    cable.forget();
  }

  /** Whatever the disk did: the state is whole, and without a full disk names the song that was on. */
  function mustBeReadable(turn: SongTurn): void {
    if (!existsSync(files.statePath)) return;
    const state = decodeShowState(readFileSync(files.statePath, 'utf8'));
    if (state === undefined) wrong.push(`a state that cannot be read at ${hoursOf(day)}`);
    else if (!disk.isFull && files.trouble === undefined && state.song !== turn.prepared.loaded.path)
      wrong.push(`the state names ${basename(state.song)} and not ${basename(turn.prepared.loaded.path)}`);
  }

  await runShow(read, FLAGS, files, stage, clock, new ShowReport(read.path));
  for (const { mend } of mendings) mend();
  disk.makeRoom();
  wrong.push(...journalFaults(files.journalPath, played, faults['full disk'] > 0));
  const drafts = readdirSync(join(folder, 'state')).filter((name) => /\.new$|\.kept$/.test(name));
  if (drafts.length > 0) wrong.push(`left behind: ${drafts.join(', ')}`);
  const noteOns = cables.reduce((sum, cable) => sum + cable.noteOns, 0);
  return { wrong, songs: played, faults, passedOver, noteOns, whole };
}

/** Each song that began ended in some way, in order; without a full disk all are there. */
function journalFaults(path: string, played: number, wasFull: boolean): string[] {
  const lines = existsSync(path) ? readFileSync(path, 'utf8').trimEnd().split('\n') : [];
  const wrong = lines
    .filter(
      (line) =>
        !/^\d{4}-\d\d-\d\d \d\d:\d\d:\d\d {2}(began|played to its end|broken off|passed over): /.test(line),
    )
    .map((line) => `the journal says '${line}'`);
  const began = lines.filter((line) => line.includes('  began: ')).length;
  if (wasFull ? began > played : began !== played)
    wrong.push(`${began} of ${played} songs are in the journal`);
  return wrong;
}

/** So many songs of half a minute to four minutes: chords, pedals, bends and controllers on some channels of both ports. */
function writeSet(folder: string, count: number, chance: () => number): string {
  mkdirSync(join(folder, 'state'), { recursive: true });
  const lines = ['[set]', 'loop = true', 'gap-seconds = 2'];
  for (let song = 0; song < count; song += 1) {
    const name = `song-${String(song + 1).padStart(2, '0')}.mid`;
    writeFileSync(join(folder, name), invented(30 + chance() * 210, chance));
    lines.push('[[song]]', `file = "${name}"`);
  }
  const path = join(folder, 'day.toml');
  writeFileSync(path, `${lines.join('\n')}\n`);
  return path;
}

/** Division 1000, a second a quarter: a tick is a millisecond. */
function invented(seconds: number, chance: () => number): Uint8Array {
  const channels = Array.from({ length: 2 + Math.floor(chance() * 6) }, () => Math.floor(chance() * 16));
  const events: DeltaEvent[] = [[0, tempo(1_000_000)]];
  for (const channel of channels) events.push([0, [0xc0 | channel, Math.floor(chance() * 128)]]);
  for (let at = 0; at < seconds * 1000; ) {
    const channel = channels[Math.floor(chance() * channels.length)]!;
    const keys = Array.from(
      { length: 1 + Math.floor(chance() * 5) },
      (_, n) => 40 + n * 5 + Math.floor(chance() * 5),
    );
    const length = 80 + Math.floor(chance() * 1200);
    const wait = Math.floor(chance() * 150);
    const kind = chance();
    if (kind < 0.1) events.push([0, [0xb0 | channel, 64, chance() < 0.5 ? 127 : 0]]);
    else if (kind < 0.2) events.push([0, [0xe0 | channel, 0, 32 + Math.floor(chance() * 64)]]);
    for (const key of keys) events.push([0, [0x90 | channel, key, 60 + Math.floor(chance() * 60)]]);
    for (const [n, key] of keys.entries()) events.push([n === 0 ? length : 0, [0x80 | channel, key, 64]]);
    events.push([wait, [0xb0 | channel, 11, 100]]);
    at += length + wait;
  }
  return songBytes([events], { division: 1000 });
}

/** By a library, not by us. */
function noteOnsOf(song: Uint8Array): number {
  return parseMidi(song)
    .tracks.flat()
    .filter((event) => event.type === 'noteOn' && event.velocity > 0).length;
}

const hoursOf = (micros: number): string => `${(micros / HOUR_MICROS).toFixed(2)} h`;

/** The longest song, the longest fault many times over. */
const MOST_SONG_MICROS = 4 * HOUR_MICROS;

const FLAGS = {
  port: ['a=mock', 'b=mock'],
  map: '1-8=a,9-16=b',
  plan: 'packed',
  clock: 'virtual',
  early: 0,
  setupFirst: true,
  settle: 100,
  stuckAfter: 10,
  unattended: true,
  again: true,
} as unknown as ShowFlags;
