/**
 * The fit. How much is lost on instruments of few voices, left alone and fitted, judged by a simulated instrument of
 * the bench's own; what a general solver makes of the same plans; how long planning takes; how many notes keep
 * their program. Losses are computed, not timed: the same on every machine.
 */
import highsLoader from 'highs';
import { fitDocument } from '../../src/core/arrange/fit/fit-document.ts';
import { DEFAULT_KEEP, fitSong } from '../../src/core/arrange/fit/fit-song.ts';
import { heardNotes } from '../../src/core/arrange/fit/heard-notes.ts';
import { leastLoss } from '../../src/core/arrange/fit/least-loss.ts';
import { lossOf } from '../../src/core/arrange/fit/loss-of.ts';
import { Role } from '../../src/core/arrange/fit/note-role.ts';
import { noteWeights } from '../../src/core/arrange/fit/note-weights.ts';
import { servedPieces } from '../../src/core/arrange/fit/part-flow.ts';
import { playedNotes } from '../../src/core/arrange/fit/played-notes.ts';
import { voicePlan } from '../../src/core/arrange/fit/voice-plan.ts';
import { GENERAL_MIDI } from '../../src/core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../src/core/instrument/instrument.ts';
import { readSong } from '../../src/core/smf/read-song.ts';
import { writeSong } from '../../src/core/smf/write-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';
import { debianSongs, npmSongs } from '../support/package-songs.ts';
import { partProgramme, randomPieces, servedWorth } from '../support/part-programme.ts';
import { randomPlaces } from '../support/place-cases.ts';
import { keptValue, placeProgramme } from '../support/place-programme.ts';
import { seeded } from '../support/seeded.ts';
import { playSimulated } from '../support/simulated-instrument.ts';
import { SimulatedLoss } from '../support/simulated-loss.ts';
import { recordBench } from './bench-record.ts';
import { type BenchSong, changedAgain } from './fit-again.ts';
import { type Goal, printGoals } from './goal-line.ts';
import { millionNotes } from './million-notes.ts';
import { printTable } from './print-table.ts';

const TAIL_MICROS = 200_000;
/** General MIDI's: what has no sound there is lost with and without a fit. */
const DRUM_KEYS = new Set(GENERAL_MIDI.drums.keys.keys());
/** Of voices, and as many of parts. */
const CASES = 93;
const SET_UP = 0.25;
const KINDS = ['released', 'oldest', 'newest'] as const;
const VOICES = [24, 16, 8, 4, 1];
const OPTIMUM_VOICES = [24, 16, 8];
/** Above what the fit allows itself: a note ends a tick before its voice is needed, and files round to ticks. */
const WORSE_PERCENT = 0.01;

interface Fare {
  readonly kind: string;
  readonly voices: number;
  readonly concerned: number;
  /** [songs] */
  readonly isConcerned: readonly boolean[];
  readonly before: readonly number[];
  readonly after: readonly number[];
  readonly cut: number;
  readonly worse: readonly string[];
  readonly melody: number;
  readonly beat: number;
}

export async function run(): Promise<void> {
  const songs = [...debianSongs(), ...npmSongs()].map(({ name, bytes }): BenchSong => {
    const song = readSong(bytes);
    return { name, song, timeline: buildTimeline(song) };
  });
  process.stdout.write(
    `${songs.length} songs; release tail ${TAIL_MICROS / 1000} ms, keep ${DEFAULT_KEEP}\n`,
  );
  const solver = await againstSolver();
  const speeds = [speedOf(100_000, 24), speedOf(100_000, 8), speedOf(1_000_000, 24), speedOf(1_000_000, 8)];
  const fares = KINDS.flatMap((kind) => VOICES.map((voices) => fareOf(songs, kind, voices)));
  printFares(fares);
  const optimum = OPTIMUM_VOICES.map((voices) => optimumOf(songs, voices));
  printOptimum(fares, optimum);
  const kept = [0, 1000].map((pauseMs) => keptOf(songs, pauseMs));
  const again = changedAgain(songs, TAIL_MICROS);
  for (const line of again) process.stdout.write(`changed by a second fit: ${line}\n`);
  const goals: Goal[] = [
    { name: 'solver cases', value: solver.cases, atLeast: 90 },
    { name: 'worst difference to the solver', value: solver.worst, atMost: 1e-6 },
    ...speeds.map(
      ({ notes, voices, ms }): Goal => ({
        name: `plan ${notes} notes at ${voices} voices`,
        value: ms / 1000,
        unit: 's',
        atMost: notes > 100_000 ? 8 : 1,
      }),
    ),
    ...[24, 16, 8].map(
      (voices): Goal => ({
        name: `held notes cut, released first, ${voices} voices`,
        value: fares.find((fare) => fare.kind === 'released' && fare.voices === voices)!.cut,
        atMost: 0,
      }),
    ),
    { name: 'songs made worse', value: fares.reduce((sum, { worse }) => sum + worse.length, 0), atMost: 0 },
    { name: 'songs that a second fit changes', value: again.length, atMost: 0 },
    ...lossGoals(fares, optimum.find(({ voices }) => voices === 8)!.plain),
    { name: 'keep their program, four parts', value: kept[0]!.mean, unit: '%', atLeast: 95 },
    {
      name: 'keep their program, four parts, 1 s before a switch',
      value: kept[1]!.mean,
      unit: '%',
      atLeast: 95,
    },
  ];
  recordBench('fit', { solver, speeds, fares, kept, goals: printGoals(goals) });
}

async function againstSolver(): Promise<{ readonly cases: number; readonly worst: number }> {
  const highs = await highsLoader();
  const chance = seeded(2026);
  const below = (limit: number) => Math.floor(chance() * limit);
  let worst = 0;
  for (let round = 0; round < CASES; round += 1) {
    const size = {
      points: 5 + below(120),
      chains: 5 + below(200),
      places: 1 + below(24),
      longest: 1 + below(20),
    };
    const places = randomPlaces(below, size);
    const best = highs.solve(placeProgramme(places)).ObjectiveValue;
    worst = Math.max(worst, Math.abs(keptValue(places, leastLoss(places)) - best) / Math.max(1, best));
    const [parts, restMicros] = [1 + below(4), 1 + below(12)];
    const pieces = randomPieces(below, 2 + below(6));
    const most = highs.solve(partProgramme(pieces, parts, restMicros, SET_UP)).ObjectiveValue;
    const served = servedWorth(pieces, servedPieces(pieces, parts, restMicros, SET_UP), SET_UP);
    worst = Math.max(worst, Math.abs(served - most) / Math.max(1, most));
  }
  return { cases: 2 * CASES, worst };
}

function speedOf(notes: number, voices: number) {
  const { columns, durationMicros } = buildTimeline(readSong(millionNotes(16, notes)));
  const heard = heardNotes(columns, [9]);
  const weights = noteWeights(columns, heard, 1);
  const from = performance.now();
  const cpuFrom = process.cpuUsage();
  voicePlan(columns, durationMicros, heard, weights, { voices, tailMicros: 0, each: undefined });
  const { user, system } = process.cpuUsage(cpuFrom);
  const ms = performance.now() - from;
  const cpuMs = (user + system) / 1000;
  // On a machine that does other things as well the two are far apart; the goal is by the clock.
  process.stdout.write(
    `plan ${notes} notes at ${voices} voices: ${(ms / 1000).toFixed(2)} s by the clock, ${(cpuMs / 1000).toFixed(2)} s of the processor\n`,
  );
  return { notes, voices, ms, cpuMs };
}

function fareOf(songs: readonly BenchSong[], kind: Instrument['full'], voices: number): Fare {
  const instrument: Instrument = { ...GENERAL_MIDI, voices, full: kind, releaseMicros: TAIL_MICROS };
  const traits = { voices, full: kind, releaseMicros: TAIL_MICROS, drums: [9], drumKeys: DRUM_KEYS };
  const before: number[] = [];
  const after: number[] = [];
  const worse: string[] = [];
  const isConcerned: boolean[] = [];
  let cut = 0;
  let melody = 0;
  let beat = 0;
  for (const { name, song, timeline } of songs) {
    const loss = new SimulatedLoss(timeline, traits);
    const alone = loss.of(playSimulated(timeline.columns, timeline.durationMicros, traits));
    const { song: fitted } = fitSong(song, timeline, instrument, DEFAULT_KEEP);
    const again = fitted === undefined ? timeline : buildTimeline(readSong(writeSong(fitted)));
    const played = playSimulated(again.columns, timeline.durationMicros, traits);
    const now = loss.of(played);
    isConcerned.push(alone.percent > 0);
    if (alone.percent > 0) {
      before.push(alone.percent);
      after.push(now.percent);
    }
    if (now.percent > alone.percent + WORSE_PERCENT) {
      worse.push(`${name} ${alone.percent.toFixed(3)} ${now.percent.toFixed(3)}`);
    }
    cut += played.cut;
    melody = Math.max(melody, now.onsets(Role.top));
    beat = Math.max(beat, now.onsets(Role.beat));
  }
  return { kind, voices, concerned: before.length, isConcerned, before, after, cut, worse, melody, beat };
}

function printFares(fares: readonly Fare[]): void {
  printTable(
    ['instrument', 'songs', 'alone %', 'worst', 'fitted %', 'worst', 'cut', 'worse', 'melody %', 'beat %'],
    fares.map(({ kind, voices, concerned, before, after, cut, worse, melody, beat }) => [
      `${kind} ${voices}`,
      concerned,
      median(before).toFixed(2),
      Math.max(0, ...before).toFixed(1),
      median(after).toFixed(2),
      Math.max(0, ...after).toFixed(1),
      cut,
      worse.length,
      melody.toFixed(2),
      beat.toFixed(2),
    ]),
  );
  for (const line of fares.flatMap(({ worse }) => worse)) process.stdout.write(`worse: ${line}\n`);
}

/**
 * The goal of 2.4 % was measured on 239 other songs, which lose 4.1 % unfitted and 2.2 % at best; what these can come to
 * is their own optimum, which no plan goes below.
 */
function lossGoals(fares: readonly Fare[], optimum: readonly number[]): Goal[] {
  const at = (voices: number) => fares.find((fare) => fare.kind === 'released' && fare.voices === voices)!;
  return [
    { name: 'loss at 8 voices, median', value: median(at(8).after), unit: '%', atMost: 2.4 },
    {
      name: 'loss at 8 voices above the least there is, median',
      value: median(at(8).after) - median(optimum.filter((_, song) => at(8).isConcerned[song])),
      unit: '%',
      atMost: 0.1,
    },
    { name: 'loss at 8 voices, worst', value: Math.max(0, ...at(8).after), unit: '%', atMost: 30 },
    { name: 'melody onsets lost at 16 voices, worst', value: at(16).melody, unit: '%', atMost: 0.6 },
    { name: 'beat onsets lost at 16 voices, worst', value: at(16).beat, unit: '%', atMost: 0 },
  ];
}

/**
 * What can be had at best: the least loss there is on paper, melody and beat counting no more than their weight, and
 * no drum missing; with, and without, what the fit adds for them.
 */
function optimumOf(songs: readonly BenchSong[], voices: number) {
  const plain: number[] = [];
  const kept: number[] = [];
  for (const { timeline } of songs) {
    const { columns, durationMicros } = timeline;
    const notes = heardNotes(columns, [9]);
    const weights = noteWeights(columns, notes, 1);
    const lossWith = (keep: number) => {
      const options = { voices, tailMicros: 0, each: undefined };
      const endOf = voicePlan(columns, durationMicros, notes, noteWeights(columns, notes, keep), options);
      const supply = { voices: notes.count + 1, full: 'released', releaseMicros: 0 } as const;
      const { untilMicros } = playedNotes(columns, durationMicros, notes, endOf, undefined, supply);
      return 100 * lossOf(columns, durationMicros, notes, weights, untilMicros);
    };
    plain.push(lossWith(1));
    kept.push(lossWith(DEFAULT_KEEP));
  }
  return { voices, plain, kept };
}

/** Over the songs of which the instrument loses something left alone. */
function printOptimum(fares: readonly Fare[], optimum: readonly ReturnType<typeof optimumOf>[]): void {
  printTable(
    [
      'voices',
      'songs',
      'unfitted %',
      'worst',
      'fitted %',
      'worst',
      'optimum %',
      'worst',
      `keep ${DEFAULT_KEEP} %`,
      'worst',
    ],
    optimum.map(({ voices, plain, kept }) => {
      const { before, after, concerned, isConcerned } = fares.find(
        (fare) => fare.kind === 'released' && fare.voices === voices,
      )!;
      const of = (values: readonly number[]) => values.filter((_, at) => isConcerned[at]);
      return [
        voices,
        concerned,
        ...[before, after, of(plain), of(kept)].flatMap((values) => [
          median(values).toFixed(2),
          Math.max(0, ...values).toFixed(1),
        ]),
      ];
    }),
  );
}

/** Notes that keep their program on four parts: mean over the songs, and over all notes. */
function keptOf(songs: readonly BenchSong[], pauseMs: number) {
  const pauses = { ...GENERAL_MIDI.pauses, afterProgramMicros: pauseMs * 1000 };
  const instrument: Instrument = { ...GENERAL_MIDI, voices: 64, parts: 4, pauses };
  const kept = songs.map(
    ({ name, song, timeline }) =>
      fitDocument(name, timeline, 1, fitSong(song, timeline, instrument, 1)).keptProgramPercent,
  );
  return { pauseMs, mean: kept.reduce((sum, one) => sum + one, 0) / Math.max(1, kept.length) };
}

function median(values: readonly number[]): number {
  return values.length > 0 ? values.toSorted((a, b) => a - b)[values.length >> 1]! : 0;
}
