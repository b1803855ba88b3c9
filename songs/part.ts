import type { BarGrid } from './bar-grid.ts';
import { type DrumGrid, readGrid } from './drum-grid.ts';
import { clampVelocity, metricWeight, Seeded } from './human-touch.ts';
import { LEVELS, type LevelName, readLine } from './notation.ts';
import { RANK, type ScoreEvent, utf8 } from './score-event.ts';

export interface PartSetup {
  /** 0–127; none for a second track on a channel that has its program already. */
  readonly program?: number;
  readonly volume?: number;
  /** 0 left, 64 middle, 127 right. */
  readonly pan?: number;
  readonly reverb?: number;
  readonly chorus?: number;
  readonly expression?: number;
  /** Tick of these settings. */
  readonly at?: number;
  /** Unevenness of velocity, ± so much; 0 for a machine. */
  readonly unevenness?: number;
}

export interface Playing {
  readonly level?: LevelName;
  readonly transpose?: number;
  /** Share of its written length that a note of usual touch sounds. */
  readonly gate?: number;
  /** A syllable for each note, parted by spaces; one that goes on ends with a hyphen. */
  readonly lyrics?: string;
}

export const CC = {
  modulation: 1,
  volume: 7,
  pan: 10,
  expression: 11,
  damper: 64,
  reverb: 91,
  chorus: 93,
} as const;

/** A short gap so that a held note is over when the next one is struck. */
const BREATH = 6;
const BEND_CENTRE = 8192;
const ACCENT = 13;

/** One track that plays on one channel. All methods take ticks; those that play return where they ended. */
export class Part {
  readonly name: string;
  /** 0–15. */
  readonly channel: number;
  readonly events: ScoreEvent[] = [];
  readonly #grid: BarGrid;
  readonly #random: Seeded;
  readonly #unevenness: number;
  #bendRange = 2;

  constructor(grid: BarGrid, name: string, channel: number, setup: PartSetup) {
    this.name = name;
    this.channel = channel;
    this.#grid = grid;
    this.#random = new Seeded(1 + channel * 7919 + name.length * 104_729);
    this.#unevenness = setup.unevenness ?? 5;
    this.event(0, RANK.setting, 0xff, 0x03, ...utf8(name));
    const at = setup.at ?? 0;
    if (setup.program !== undefined) this.program(at, setup.program);
    const { volume, pan, reverb, chorus, expression } = { ...setup };
    for (const [number, value] of Object.entries({
      [CC.volume]: volume,
      [CC.pan]: pan,
      [CC.reverb]: reverb,
      [CC.chorus]: chorus,
      [CC.expression]: expression,
    })) {
      if (value !== undefined) this.control(at, Number(number), value);
    }
  }

  play(at: number, text: string, { level = 'mf', transpose = 0, gate = 0.9, lyrics }: Playing = {}): number {
    const line = readLine(text, this.#grid.barTicksAt(at), level);
    const share = { short: 0.45, usual: gate, held: 1 };
    for (const note of line.notes) {
      const tick = at + note.tick;
      const length = Math.max(20, Math.min(note.ticks * share[note.touch], note.ticks - BREATH));
      for (const key of note.keys)
        this.note(tick, key + transpose, length, note.level + ACCENT * note.accent);
    }
    if (lyrics !== undefined) this.#sing(at, line.notes, lyrics);
    return at + line.ticks;
  }

  /** @param level velocity before the weight of the beat and human unevenness */
  note(tick: number, key: number, length: number, level: number): void {
    const weight = metricWeight(this.#grid.tickInBar(tick));
    const velocity = clampVelocity(level + weight + this.#unevenness * this.#random.next());
    this.event(tick, RANK.strike, 0x90 | this.channel, key, velocity);
    this.event(tick + Math.round(length), RANK.release, 0x80 | this.channel, key, 64);
  }

  /** @param times how often the grid is played */
  drums(at: number, grid: DrumGrid, times = 1, level: LevelName = 'mf'): number {
    const { strokes, ticks } = readGrid(grid);
    for (let time = 0; time < times; time += 1) {
      for (const { tick, key, accent } of strokes) {
        this.note(at + time * ticks + tick, key, 60, LEVELS[level] + (accent > 0 ? 16 : 11) * accent);
      }
    }
    return at + times * ticks;
  }

  program(tick: number, number: number): void {
    this.event(tick, RANK.setting, 0xc0 | this.channel, number);
  }

  control(tick: number, number: number, value: number): void {
    this.event(tick, RANK.setting, 0xb0 | this.channel, number, Math.round(value));
  }

  /** A controller that goes evenly from one value to another, a message for each new value at most. */
  sweep(number: number, from: number, to: number, start: number, end: number, step = 60): void {
    let last = Number.NaN;
    for (let tick = from; tick <= to; tick += step) {
      const value = Math.round(start + ((end - start) * (tick - from)) / (to - from));
      if (value !== last) this.control(tick, number, value);
      last = value;
    }
  }

  /** RPN 0 (MIDI 1.0, Table IIIa), then RPN null so that later data entry hits nothing. */
  bendRange(tick: number, semitones: number): void {
    this.#bendRange = semitones;
    for (const [number, value] of [
      [101, 0],
      [100, 0],
      [6, semitones],
      [38, 0],
      [101, 127],
      [100, 127],
    ] as const) {
      this.control(tick, number, value);
    }
  }

  bend(tick: number, semitones: number): void {
    const value = Math.min(16_383, BEND_CENTRE + Math.round((semitones / this.#bendRange) * BEND_CENTRE));
    this.event(tick, RANK.setting, 0xe0 | this.channel, value & 127, value >> 7);
  }

  /** A bend that goes evenly from one pitch to another. */
  slide(from: number, to: number, start: number, end: number, step = 20): void {
    for (let tick = from; tick <= to; tick += step) {
      this.bend(tick, start + ((end - start) * (tick - from)) / (to - from));
    }
  }

  /** Damper changes: up just before each of `ticks`, down again just after it, up at `end`. */
  pedal(ticks: readonly number[], end: number): void {
    for (const [index, tick] of ticks.entries()) {
      if (index > 0) this.control(tick - BREATH, CC.damper, 0);
      this.control(tick + 24, CC.damper, 127);
    }
    this.control(end, CC.damper, 0);
  }

  event(tick: number, rank: number, ...bytes: number[]): void {
    this.events.push({ tick, rank, bytes });
  }

  #sing(at: number, notes: readonly { readonly tick: number }[], lyrics: string): void {
    const syllables = lyrics.trim().split(/\s+/);
    if (syllables.length !== notes.length) {
      throw new Error(`${syllables.length} syllables for ${notes.length} notes: ${lyrics}`);
    }
    for (const [index, syllable] of syllables.entries()) {
      const text = syllable.endsWith('-') ? syllable : `${syllable} `;
      this.event(at + notes[index]!.tick, RANK.setting, 0xff, 0x05, ...utf8(text));
    }
  }
}
