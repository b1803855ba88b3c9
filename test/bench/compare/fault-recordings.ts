import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { PLAYER_FAULTS, type PlayerFault } from '../../support/home-built-player.ts';
import type { PackageSong } from '../../support/package-songs.ts';
import type { Goal } from '../goal-line.ts';
import { printTable } from '../print-table.ts';
import { type JudgedRecording, judgeRecording } from './judged-recording.ts';
import { quantile } from './quantile.ts';
import { withSysEx } from './song-with-sysex.ts';

const PAIRS: readonly (readonly PlayerFault[])[] = [
  ['bytes-lost', 'clock-rate'],
  ['timer-tick', 'slow-chords'],
];
const CASES = [...PLAYER_FAULTS.map((fault): readonly PlayerFault[] => [fault]), ...PAIRS];
/** Faults that move notes in time and lose none. */
const ONLY_TIME: readonly PlayerFault[] = ['tempo-ignored', 'tracks-in-turn', 'slow-adds-up'];
const MOST_SHOWN = 40;

/** Whole recordings of every kind of fault: is it named, are the notes and the clock found. */
export function faultRecordings(songs: readonly PackageSong[]) {
  const judged = songs.flatMap(judgeSong);
  printByFault(judged);
  printWrong(judged);
  return { judged, goals: [...faultGoals(judged), ...noteGoals(judged)] };
}

function judgeSong({ name, bytes }: PackageSong, place: number): JudgedRecording[] {
  const timeline = buildTimeline(readSong(bytes));
  const half = place % 2 === 0 ? 'tuning' : 'validation';
  return CASES.map((faults, n) => {
    // Songs have their SysEx before the first note: nothing is lost there by whoever keeps running status.
    const song = faults[0] === 'running-status-over-sysex' ? withSysEx(bytes) : timeline;
    return judgeRecording(name, half, song, faults, 1000 * place + n + 1);
  });
}

/** A lone fault is to be named first, of two at once both, where both made a difference. A sound recording is to be left in peace. */
function isNamed({ faults, codes, isSame }: JudgedRecording): boolean {
  if (faults[0] === 'none') return isSame && codes.length === 0;
  return faults.length === 1 ? codes[0] === faults[0] : faults.every((fault) => codes.includes(fault));
}

/** One of two that made none is not there to be named. */
const isTwoAtOnce = ({ faults, allShow }: JudgedRecording): boolean => faults.length > 1 && allShow;
const counts = (one: JudgedRecording): boolean => one.shows && (one.faults.length === 1 || one.allShow);

function printByFault(judged: readonly JudgedRecording[]): void {
  const share = (some: readonly JudgedRecording[]) => `${some.filter(isNamed).length} / ${some.length}`;
  printTable(
    ['fault', 'tuning', 'validation', 'ppm 50', '90', 'worst', 'gone', 'told', 'rightly', 'ms worst'],
    CASES.map((faults) => {
      const all = judged.filter((one) => one.faults.join() === faults.join() && counts(one));
      const ppm = all.map(({ ppmOff }) => ppmOff);
      return [
        faults.join(' + '),
        share(all.filter(({ half }) => half === 'tuning')),
        share(all.filter(({ half }) => half === 'validation')),
        ...[0.5, 0.9, 1].map((part) => quantile(ppm, part).toFixed(1)),
        ...[sum(all, 'gone'), sum(all, 'told'), sum(all, 'rightly')],
        Math.max(0, ...all.map(({ millis }) => millis)).toFixed(0),
      ];
    }),
  );
}

function printWrong(judged: readonly JudgedRecording[]): void {
  const wrong = judged.filter((one) => counts(one) && !isNamed(one));
  const half = judged.filter((one) => one.shows && !counts(one)).length;
  process.stdout.write(
    `${half} recordings of two faults, of which one made no difference, are not counted\n`,
  );
  for (const { song, faults, codes, isSame, claimed } of wrong.slice(0, MOST_SHOWN)) {
    const said = codes.length > 0 ? codes.join(', ') : isSame ? 'the same' : 'no cause';
    process.stdout.write(`${faults.join(' + ')}: ${said}, ${claimed} notes otherwise: ${song}\n`);
  }
  if (wrong.length > MOST_SHOWN) process.stdout.write(`and ${wrong.length - MOST_SHOWN} more\n`);
}

function faultGoals(judged: readonly JudgedRecording[]): Goal[] {
  const faulty = judged.filter(({ faults, shows }) => faults[0] !== 'none' && shows);
  const share = (some: readonly JudgedRecording[]) => (100 * some.filter(isNamed).length) / some.length;
  const lone = faulty.filter(({ faults }) => faults.length === 1);
  const sound = judged.filter(({ faults }) => faults[0] === 'none');
  const ofClock = lone.filter(({ faults }) => faults[0] === 'clock-rate');
  const clock = ofClock.filter(({ isClockTold }) => isClockTold).map(({ ppmOff }) => ppmOff);
  const kinds = new Set(lone.map(({ faults }) => faults[0]));
  return [
    { name: 'compare-kinds-of-fault-that-show', value: kinds.size, atLeast: 13 },
    ...(['tuning', 'validation'] as const).map((half) => ({
      name: `compare-cause-named-first-${half}`,
      value: share(lone.filter((one) => one.half === half)),
      unit: '%',
      atLeast: 95,
    })),
    {
      name: 'compare-two-at-once-both-named',
      value: share(faulty.filter(isTwoAtOnce)),
      unit: '%',
      atLeast: 95,
    },
    {
      name: 'compare-sound-recordings-accused-or-late',
      value: sound.length === 0 ? Number.NaN : sound.filter((one) => !isNamed(one)).length,
      atMost: 0,
    },
    { name: 'compare-clock-off-median', value: quantile(clock, 0.5), unit: 'ppm', atMost: 2 },
    { name: 'compare-clock-off-90-percent', value: quantile(clock, 0.9), unit: 'ppm', atMost: 5 },
    { name: 'compare-clock-off-worst', value: quantile(clock, 1), unit: 'ppm', atMost: 30 },
    { name: 'compare-clock-not-told', value: ofClock.length - clock.length, atMost: 0 },
  ];
}

function noteGoals(judged: readonly JudgedRecording[]): Goal[] {
  const lost = judged.filter(({ faults }) => faults.join() === 'bytes-lost');
  const onlyTime = judged.filter(({ faults }) => faults.length === 1 && ONLY_TIME.includes(faults[0]!));
  return [
    {
      name: 'compare-lost-notes-found',
      value: (100 * sum(lost, 'rightly')) / sum(lost, 'gone'),
      unit: '%',
      atLeast: 97,
    },
    {
      name: 'compare-lost-notes-rightly',
      value: (100 * sum(lost, 'rightly')) / sum(lost, 'told'),
      unit: '%',
      atLeast: 99.9,
    },
    {
      name: 'compare-notes-claimed-where-only-time-is-wrong',
      value: onlyTime.length === 0 ? Number.NaN : sum(onlyTime, 'claimed'),
      atMost: 0,
    },
  ];
}

function sum(some: readonly JudgedRecording[], what: 'gone' | 'told' | 'rightly' | 'claimed'): number {
  return some.reduce((total, one) => total + one[what], 0);
}
