import { arpeggiate, bassLine, comp, harmonyAt, sustain } from './accompaniment.ts';
import { CC, type Part } from './part.ts';
import { Score } from './score.ts';
import { RANK } from './score-event.ts';

const BARS = 26;
const MELODY = `a4/8 c5 e5/4 d5/8 c5 b4 c5 | a4/4. g4/8 e4/2 | f4/8 a4 c5/4 b4/8 a4 g4 a4 | g#4/4. b4/8 e5/2 |
  a4/8 c5 e5/4 g5/8 e5 d5 c5 | d5/4. c5/8 g4/2 | a4/8 c5 f5/4 e5/8 d5 c5 d5 | e5/2 d5/8 c5 b4 g#4`;
const ANSWER = `d5/4. f5/8 a5/4 f5 | e5/4. c5/8 a4/2 | d5/8 f5 bb5/4 a5/8 g5 f5 d5 | e5/2 g#5/4 b5 |
  a5/4. g5/8 f5/4 d5 | c5/8 d5 e5/4 c5/2 | bb4/8 d5 f5/4 d5/8 c5 bb4 a4 | g#4/2 b4/4 e5`;
const SQUALL = 'Am | Am/G | F | E7 | Am | C/G | F | E7';
const LULL = 'Dm | Am | Bb | E7 | Dm | Am | Bb | E7';

/**
 * "Tangled Nets": a squall catches the boats, and everything that can go wrong in a song file does. It plays,
 * and can be listened to; but notes hang, a note is released on the wrong channel, everything is set at once
 * on the first downbeat, chords of sixteen fall on one tick, and controllers crowd the wire. Each trouble has
 * a function of its own below, so that a test can ask for it.
 */
export function tangledNets(): Score {
  const score = new Score('Tangled Nets');
  score.resetModule();
  score.meter(0, 4, 4);
  score.tempo(0, 108);
  score.key(0, 0, 'minor');
  score.marker(score.at(1), 'Squall');
  score.marker(score.at(9), 'Lull');
  score.marker(score.at(17), 'Squall again');
  const parts = band(score);
  play(score, parts);
  everythingOnTheDownbeat(score, parts);
  chordsOfSixteen(score, parts);
  crowdedControllers(score, parts);
  hangingNotes(score, parts);
  oddNotes(score, parts);
  brokenUpSysEx(score, parts);
  return score;
}

/** Name and program of each channel; on the drums, program 0 is the standard kit. */
const BAND: readonly (readonly [name: string, program: number])[] = [
  ['Piano', 1],
  ['Strings', 48],
  ['Lead', 80],
  ['Marimba', 12],
  ['Vibraphone', 11],
  ['Choir', 53],
  ['Trombones', 57],
  ['Pad', 88],
  ['Horn', 60],
  ['Drums', 0],
  ['Guitar', 28],
  ['Tubular bells', 14],
  ['Bass', 38],
  ['Clarinet', 71],
  ['Harp', 46],
  ['Timpani', 47],
];

function band(score: Score): Part[] {
  return BAND.map(([name], channel) => score.part(name, channel, {}));
}

function play(score: Score, parts: readonly Part[]): void {
  const at = (bar: number) => score.at(bar);
  const { grid } = score;
  const [piano, strings, lead, marimba] = parts as [Part, Part, Part, Part];
  const drums = parts[9]!;
  const guitar = parts[10]!;
  const bass = parts[12]!;
  const clarinet = parts[13]!;
  for (const [bar, chords] of [
    [1, SQUALL],
    [9, LULL],
    [17, SQUALL],
  ] as const) {
    const harmony = harmonyAt(grid, bar, chords);
    bassLine(bass, harmony, 'R-RR --R- 8-R- R-5-', { low: 31, level: 'f' });
    sustain(strings, harmony, { voices: 3, low: 55, high: 72, level: 'mp' });
    comp(guitar, harmony, '..x. ..x. .xx. ..x.', { voices: 3, low: 55, high: 70, level: 'mf' });
    arpeggiate(marimba, harmony, '1313 2323 1313 2321', { voices: 3, low: 60, high: 76, level: 'p' });
    if (bar !== 9) comp(piano, harmony, 'x--x --x- --x- x---', { voices: 3, low: 52, high: 67, level: 'mp' });
    drums.drums(at(bar), { crash: `x${'-'.repeat(15)}` }, 1);
  }
  lead.play(at(1), `@f ${MELODY}`, { gate: 0.95 });
  clarinet.play(at(9), `@f ${ANSWER}`, { gate: 0.95 });
  lead.play(at(17), `@ff ${MELODY}`, { gate: 0.95 });
  lead.play(at(25), '@f a4/1 | _/2 -');
  const groove = {
    kick: 'X-x- --x- x-x- --x-',
    snare: '---- X--o -o-- X-oo',
    closedHat: 'xox- xoxo xox- xoxo',
    openHat: '---x',
  };
  drums.drums(at(1), { ...groove, openHat: '---- ---- ---x ----' }, 24, 'mf');
}

/** Trouble: a dozen settings on each of sixteen channels, and the first chord, all at tick 0. */
function everythingOnTheDownbeat(score: Score, parts: readonly Part[]): void {
  for (const [channel, part] of parts.entries()) {
    part.control(0, 0, 0);
    part.control(0, 32, 0);
    part.program(0, BAND[channel]![1]);
    part.control(0, CC.volume, channel === 2 ? 100 : 84);
    part.control(0, CC.pan, 16 + 6 * channel);
    part.control(0, CC.expression, 120);
    part.control(0, CC.modulation, 0);
    part.control(0, CC.reverb, 56);
    part.control(0, CC.chorus, 12);
    part.bendRange(0, channel === 2 ? 4 : 2);
    part.bend(0, 0);
  }
  for (let bar = 2; bar <= BARS - 2; bar += 1) {
    for (const part of parts) part.control(score.at(bar), CC.volume, part.channel === 2 ? 100 : 84); // said again, in vain
  }
}

/** Trouble: a note on each of the sixteen channels on one tick, and sixteen notes on one channel on another. */
function chordsOfSixteen(score: Score, parts: readonly Part[]): void {
  const spread = [
    'a3',
    'c4',
    'a4',
    'e4',
    'c5',
    'e4',
    'a2',
    'a3',
    'e3',
    '',
    'a3',
    'a4',
    'a1',
    'c5',
    'a5',
    'a2',
  ];
  for (const bar of [1, 9, 17, 25]) {
    for (const [channel, key] of spread.entries()) {
      if (key && ![1, 2, 3, 12].includes(channel)) parts[channel]!.play(score.at(bar), `@f ${key}/4`);
    }
  }
  const wall = 'a2+e3+a3+c4+e4+g4+a4+b4+c5+d5+e5+g5+a5+b5+c6+e6';
  parts[14]!.play(score.at(8, 4), `@mf ${wall}/4`);
  parts[14]!.play(score.at(24, 4), `@f ${wall}/4`);
}

/** Trouble: bends, pressure and expression far denser than anybody hears. */
function crowdedControllers(score: Score, parts: readonly Part[]): void {
  const lead = parts[2]!;
  for (const bar of [2, 4, 6, 8, 18, 20, 22, 24]) {
    const from = score.at(bar, 3);
    for (let tick = 0; tick < 900; tick += 4) lead.bend(from + tick, 0.35 * Math.sin(tick / 24));
    lead.bend(from + 900, 0);
  }
  for (let bar = 1; bar <= 24; bar += 2) {
    parts[1]!.sweep(CC.expression, score.at(bar), score.at(bar + 1), 70, 127, 5);
    parts[1]!.sweep(CC.expression, score.at(bar + 1) + 5, score.at(bar + 2) - 5, 127, 70, 5);
    for (let tick = score.at(bar); tick < score.at(bar + 1); tick += 6) {
      parts[7]!.event(tick, RANK.setting, 0xd7, 40 + Math.round(30 * Math.sin(tick / 90)));
    }
  }
}

/** Trouble: notes that nothing releases, or something elsewhere, or only All Notes Off; a pedal left down. */
function hangingNotes(score: Score, parts: readonly Part[]): void {
  const strike = (channel: number, bar: number, beat: number, key: number, velocity: number) =>
    parts[channel]!.event(score.at(bar, beat), RANK.strike, 0x90 | channel, key, velocity);
  strike(7, 8, 1, 88, 30); // pad, e6: never released; e hurts none of these chords
  strike(4, 12, 2, 76, 50); // vibraphone, e5: never released
  strike(5, 6, 1, 76, 46); // choir, e5: released on the trombones' channel
  parts[6]!.event(score.at(7), RANK.release, 0x86, 76, 64);
  strike(8, 18, 1, 60, 70); // horn, c4: ended by All Notes Off alone
  parts[8]!.control(score.at(20), 123, 0);
  parts[0]!.control(score.at(23), CC.damper, 127); // and no foot ever leaves it
}

/** Trouble: struck twice and released once, no length at all, a release too many, a program changed under a note. */
function oddNotes(score: Score, parts: readonly Part[]): void {
  const [piano, bells, harp] = [parts[0]!, parts[11]!, parts[14]!];
  piano.event(score.at(10), RANK.strike, 0x90, 81, 60);
  piano.event(score.at(10, 2), RANK.strike, 0x90, 81, 64);
  piano.event(score.at(10, 3), RANK.release, 0x80, 81, 64);
  const instant = score.at(14);
  bells.event(instant, RANK.strike, 0x9b, 69, 80);
  bells.event(instant, RANK.strike + 1, 0x8b, 69, 64);
  harp.event(score.at(15), RANK.release, 0x8e, 72, 64);
  parts[4]!.program(score.at(13, 2), 9);
}

/** Trouble: a long SysEx for nobody (7D, non-commercial), cut into packets with rests between them. */
function brokenUpSysEx(score: Score, parts: readonly Part[]): void {
  const packet = Array.from({ length: 96 }, (_, index) => index);
  const timpani = parts[15]!;
  timpani.event(score.at(16, 2), RANK.setting, 0xf0, 0x7d, ...packet);
  timpani.event(score.at(16, 2) + 120, RANK.setting, 0xf7, ...packet);
  timpani.event(score.at(16, 2) + 240, RANK.setting, 0xf7, ...packet, 0xf7);
}
