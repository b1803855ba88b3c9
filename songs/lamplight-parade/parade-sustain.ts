import { comp, harmonyAt, sustain } from '../accompaniment.ts';
import { CC, type Part } from '../part.ts';
import type { Score } from '../score.ts';
import { BAR, CHORDS, LIFT } from './parade-form.ts';

/** High strings: a line of their own above the chorus, a tremolo on the way up the hill. */
export function highStrings(score: Score): void {
  const at = (bar: number) => score.at(bar);
  const part = score.part('High strings', 5, {
    program: 48,
    volume: 84,
    pan: 34,
    reverb: 66,
    expression: 90,
    at: 230,
  });
  const line = `d5/2 f5 | c5 f5 | d5 g5/4 f5 | eb5/2 g5 | f5/1 | g5/2 bb5 | c6 bb5 | a5 eb5/4 c5`;
  const line2 = `d5/2 f5 | f5 c6 | bb5 d6 | bb5 g5 | f5 bb5/4 d6 | c6/2 eb6 | d6 c6/4 eb6 | d6/2. -/4`;
  part.play(at(BAR.chorus), `@mp ${line}`, { gate: 0.98 });
  part.play(at(BAR.chorus2), `@mf ${line2}`, { gate: 0.98 });
  part.program(at(BAR.build) - 200, 44);
  part.play(at(BAR.build), '@p @< a4/1 | a4 | b4 | b4 | d5 | c5 | d5 | @f d5/2. -/4', { gate: 0.98 });
  part.sweep(CC.expression, at(BAR.build), at(65), 60, 120);
  part.program(at(BAR.final) - 100, 48);
  part.control(at(BAR.final), CC.expression, 104);
  part.play(at(BAR.final), `@mf ${line}`, { gate: 0.98, transpose: LIFT });
  part.play(at(BAR.final2), `@f ${line2}`, { gate: 0.98, transpose: LIFT });
  part.play(at(BAR.ending), '@mf @< a5/1 | ab5 | g5 | f5 | @mp e5 | _/2. -/4', { gate: 0.98 });
  part.sweep(CC.expression, at(86), at(87) + 960, 104, 40);
}

/** Cellos in the second verse, plucked in the dance, bowed again under the whole town. */
export function lowStrings(score: Score): void {
  const at = (bar: number) => score.at(bar);
  const part = score.part('Low strings', 6, { program: 42, volume: 84, pan: 84, reverb: 58, at: 236 });
  part.play(at(6), '@p @< g2/2 d3/4 g3 | eb3/1 | c3/2 bb2 | @mp d3/1', { gate: 0.98 });
  part.play(
    at(BAR.verse2),
    '@mp d3/2 g3/4 f3 | eb3/1 | d3/2 f3 | c3/1 | g3/2 eb3 | c3/2 g3/4 f3 | eb3/2 d3 | @< c3/2 a2/4 c3 @mf',
    { gate: 0.98 },
  );
  part.program(at(BAR.bridge) - 480, 45);
  comp(part, harmonyAt(score.grid, BAR.bridge, CHORDS.bridge), '. x x', {
    voices: 2,
    low: 50,
    high: 64,
    level: 'mp',
  });
  part.program(at(BAR.build) - 160, 48);
  part.play(at(62), '@p @< d4/1 | c4 | d4 | @mf d4/2. -/4', { gate: 0.98 });
  sustain(part, harmonyAt(score.grid, BAR.final, CHORDS.chorus, LIFT), {
    voices: 1,
    low: 50,
    high: 61,
    level: 'mf',
  });
  sustain(part, harmonyAt(score.grid, BAR.final2, CHORDS.chorus2, LIFT), {
    voices: 1,
    low: 50,
    high: 61,
    level: 'mf',
  });
  part.play(at(BAR.ending), '@mp c4/1 | c4 | c4 | c4/2 b3 | @p c4/1 | _/2. -/4', { gate: 0.98 });
}

/** The haze over the water: warm pad at dusk and in the verse. */
export function pad(score: Score): void {
  const at = (bar: number) => score.at(bar);
  const part = score.part('Pad', 7, {
    program: 89,
    volume: 66,
    pan: 64,
    reverb: 70,
    chorus: 40,
    expression: 70,
    at: 242,
    unevenness: 2,
  });
  const { grid } = score;
  swell(part, at(BAR.intro), at(BAR.verse), 40, 90);
  sustain(part, harmonyAt(grid, BAR.intro, CHORDS.intro), { voices: 3, low: 55, high: 70, level: 'mp' });
  sustain(part, harmonyAt(grid, BAR.verse, CHORDS.verse), { voices: 3, low: 55, high: 70, level: 'p' });
  sustain(part, harmonyAt(grid, BAR.verse2, CHORDS.verse2), { voices: 3, low: 55, high: 70, level: 'p' });
  sustain(part, harmonyAt(grid, BAR.chorus, CHORDS.chorus), { voices: 2, low: 55, high: 68, level: 'mp' });
  sustain(part, harmonyAt(grid, BAR.bridge, CHORDS.bridge), { voices: 2, low: 55, high: 68, level: 'p' });
  swell(part, at(BAR.build), at(BAR.final), 40, 110);
  sustain(part, harmonyAt(grid, BAR.build, CHORDS.build), { voices: 3, low: 55, high: 70, level: 'mp' });
  part.control(at(BAR.ending) - 20, CC.expression, 80);
  sustain(part, harmonyAt(grid, BAR.ending, CHORDS.ending), { voices: 2, low: 55, high: 68, level: 'p' });
  part.sweep(CC.expression, at(86), at(87) + 960, 80, 20);
}

/** Two horns hold the parade together. */
export function horns(score: Score): void {
  const at = (bar: number) => score.at(bar);
  const part = score.part('Horns', 8, { program: 60, volume: 84, pan: 72, reverb: 60, at: 254 });
  const { grid } = score;
  const register = { voices: 2, low: 53, high: 66 } as const;
  sustain(part, harmonyAt(grid, BAR.chorus, CHORDS.chorus), { ...register, level: 'mp' });
  sustain(part, harmonyAt(grid, BAR.chorus2, CHORDS.chorus2), { ...register, level: 'mf' });
  part.play(at(60), '@p @< g3+b3/1 | f3+b3 | f3+a3 | f3+a3 | f3+c4 | @f f3+b3/2. -/4', { gate: 0.98 });
  sustain(part, harmonyAt(grid, BAR.final2, CHORDS.chorus2, LIFT), { ...register, level: 'f' });
  part.play(at(BAR.ending), '@mp f3+a3/1 | f3+ab3 | e3+g3 | f3+g3/2 f3+g3 | @p e3+g3/1 | _/2. -/4', {
    gate: 0.98,
  });
}

/** Brass: short calls between the lines of the chorus, a swell into the last one. */
export function brass(score: Score): void {
  const at = (bar: number) => score.at(bar);
  const part = score.part('Brass', 10, {
    program: 61,
    volume: 88,
    pan: 54,
    reverb: 46,
    expression: 100,
    at: 260,
  });
  const calls = `-/1 | -/2. f4+a4+c5/8 f4+a4+c5! | -/1 | -/2. eb4+g4+bb4/8 eb4+g4+bb4! |
    -/1 | -/2. eb4+g4+bb4/8 eb4+g4+bb4! | -/1 | c4+eb4+a4/8! - c4+eb4+a4! - c4+f4+a4 c4+f4+a4 eb4+a4+c5/4!`;
  const calls2 = `-/1 | -/2. f4+a4+c5/8 f4+a4+c5! | -/1 | -/2. eb4+g4+bb4/8 eb4+g4+bb4! |
    -/1 | -/2. eb4+a4+c5/8 eb4+a4+c5! | f4+bb4/4! - eb4+a4 eb4+a4 | d4+f4+bb4/8! - d4+f4+bb4! -/2 -/8`;
  part.play(at(BAR.chorus2), `@mf ${calls2}`, { gate: 0.7 });
  part.play(at(64), '@p @< f4+c5/1 | @f f4+b4+d5/2. -/4', { gate: 0.98 });
  part.sweep(CC.expression, at(64), at(65) + 960, 50, 120);
  part.control(at(BAR.final), CC.expression, 100);
  part.play(at(BAR.final), `@f ${calls}`, { gate: 0.7, transpose: LIFT });
  part.play(at(BAR.final2), `@f ${calls2}`, { gate: 0.7, transpose: LIFT });
  part.play(at(87), "-/4 @f e4+g4+c5/2' -/4");
}

/** The town sings along: from the second half of the chorus, and at the end. */
export function choir(score: Score): void {
  const at = (bar: number) => score.at(bar);
  const part = score.part('Choir', 12, {
    program: 52,
    volume: 78,
    pan: 64,
    reverb: 74,
    expression: 90,
    at: 269,
  });
  const { grid } = score;
  const register = { voices: 2, low: 60, high: 73 } as const;
  sustain(part, harmonyAt(grid, BAR.chorus2, CHORDS.chorus2), { ...register, level: 'mp' });
  swell(part, at(BAR.build), at(65), 40, 110);
  sustain(part, harmonyAt(grid, BAR.build, CHORDS.build), { ...register, level: 'p' });
  part.control(at(BAR.final), CC.expression, 100);
  sustain(part, harmonyAt(grid, BAR.final, CHORDS.chorus, LIFT), { ...register, level: 'mf' });
  sustain(part, harmonyAt(grid, BAR.final2, CHORDS.chorus2, LIFT), { ...register, level: 'mf' });
  sustain(part, harmonyAt(grid, BAR.ending, CHORDS.ending), { ...register, level: 'mp' });
  part.sweep(CC.expression, at(86), at(87) + 960, 90, 30);
}

function swell(part: Part, from: number, to: number, start: number, end: number): void {
  part.sweep(CC.expression, from, to, start, end, 240);
}
