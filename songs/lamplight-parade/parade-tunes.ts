import { CC } from '../part.ts';
import type { Score } from '../score.ts';
import { BAR, LIFT } from './parade-form.ts';

const CHORUS = `bb4/4. a4/8 bb4/4 f4 | c5/4. bb4/8 a4/4 f4 | d5/4 c5/8 bb4 a4/4 g4 | g4/4. a4/8 bb4/4 c5 |
  d5/4. eb5/8 d5/4 bb4 | c5/4. d5/8 c5/4 g4 | eb5/4 d5/8 c5 bb4/4 g4 | a4/4. bb4/8 c5/2`;
const CHORUS_2 = `bb4/4. a4/8 bb4/4 f4 | c5/4. bb4/8 a4/4 f4 | d5/4 c5/8 bb4 d5/4 g5 | f5/4. eb5/8 d5/4 c5 |
  d5/4 f5/8 d5 bb4/4 c5/8 d5 | eb5/4. d5/8 c5/4 a4 | bb4/2 c5/4 a4 | bb4/2. -/4`;

const WORDS = `Lan- terns light the har- bour wall to- night, and all the boats come home- ward bound.
  Hear the bells a- cross the bay, they call us in to the dance a- gain.`;
const WORDS_2 = `Lift your lamp and walk with me a- long the sing- ing shore: the tide will turn,
  but we will stay a lit- tle while be- fore the morn- ing comes.`;

/** Second voice of the chorus, mostly in sixths and thirds below. */
const CHORUS_2_BELOW = `d4/4. c4/8 d4/4 bb3 | a4/4. g4/8 f4/4 c4 | bb4/4 a4/8 g4 bb4/4 d5 | bb4/4. g4/8 bb4/4 g4 |
  bb4/4 d5/8 bb4 f4/4 g4/8 bb4 | c5/4. bb4/8 a4/4 eb4 | d4/2 eb4/4 c4 | d4/2. -/4`;

/** Flute, then trumpet: the tune of the verse and both choruses, with the words. */
export function lead(score: Score): void {
  const at = (bar: number) => score.at(bar);
  const part = score.part('Lead', 0, { program: 73, volume: 104, pan: 60, reverb: 58, at: 200 });
  part.play(
    at(BAR.verse),
    `@mp @< d5/4. g5/8 f5 d5 c5 bb4 | c5/8 d5 bb4/4 g4/2 | f4/8 bb4 d5/4 f5/4. eb5/8 | @mf d5/8 c5 a4/4 c5/2 |
     @< bb4/4. d5/8 g5/4 a5 | @f bb5/4. a5/8 g5 f5 eb5/4 | @< g5/4. f5/8 eb5 d5 c5/4 | @mp d5/2 c5/8 bb4 a4/4 |
     @mf d5/4. g5/8 f5 d5 g5 a5 | bb5/4 g5 eb5/2 | f5/8 g5 f5/4 d5/4. bb4/8 | c5/8 d5 c5/4 a4/2 |
     @< bb4/4 c5/8 d5 eb5/4 g5 | f5/8 eb5 d5 eb5 c5/2 | d5/4 eb5/8 f5 g5/4 bb5 | @f c6/2 a5/4 -/4`,
    { gate: 0.95 },
  );
  part.program(at(BAR.chorus) - 240, 56);
  part.play(at(BAR.chorus), `@f ${CHORUS}`, { gate: 0.93, lyrics: WORDS });
  part.play(at(BAR.chorus2), `@f ${CHORUS_2}`, { gate: 0.93, lyrics: WORDS_2 });
  part.play(at(BAR.final), `@ff ${CHORUS}`, { gate: 0.93, transpose: LIFT, lyrics: WORDS });
  part.play(at(BAR.final2), `@ff ${CHORUS_2}`, { gate: 0.93, transpose: LIFT, lyrics: WORDS_2 });
  part.play(
    at(BAR.ending),
    '@f @< c5/4. d5/8 c5/4 a4 | ab4/4. c5/8 d5/2 | e5/4. d5/8 c5/4 g4 | @mf c5/2 b4 | c5/1 | _/2. -/4',
    { gate: 0.97, lyrics: 'Hear the bells a- cross the bay, lan- terns on the wa- ter, home.' },
  );
  part.sweep(CC.modulation, at(86) + 480, at(87), 0, 50);
  part.control(at(88), CC.modulation, 0);
}

/** Clarinet, then alto saxophone: answers and second voices. */
export function counterMelody(score: Score): void {
  const at = (bar: number) => score.at(bar);
  const part = score.part('Counter-melody', 1, { program: 71, volume: 90, pan: 78, reverb: 56, at: 206 });
  part.play(
    at(BAR.verse2),
    `@mp bb4/2 a4/4 g4 | g4/4. f4/8 eb4/4 g4 | f4/2 bb4/4 bb4/8 g4 | a4/4. g4/8 f4/2 |
     g4/2 bb4 | g4/4. f4/8 eb4/2 | bb4/4 g4/8 bb4 d5/4 eb5 | f5/4 eb5 c5 a4`,
    { gate: 0.96 },
  );
  part.program(at(BAR.chorus2) - 960, 65);
  part.play(at(BAR.chorus2), `@mf ${CHORUS_2_BELOW}`, { gate: 0.93 });
  part.program(at(BAR.bridge) + 480, 71);
  part.play(at(50), '@mp eb4/2. | c4 | g4 | eb4 | c5 | ab4 | f4/2. | d4', { gate: 0.97 });
  part.program(at(BAR.build) + 960, 65);
  part.play(at(62), '@mp @< a4/2 d5 | a4/2 c5 | d5/2 f5 | @f d5/2. -/4', { gate: 0.97 });
  part.play(at(BAR.final2), `@f ${CHORUS_2_BELOW}`, { gate: 0.93, transpose: LIFT });
  part.play(at(BAR.ending), '@mf f4/2 a4 | ab4/2 f4 | g4/2 e4 | @mp f4/2 d4 | e4/1 | _/2. -/4', {
    gate: 0.97,
  });
  // Scoops into the long notes of the second chorus.
  for (const tick of [at(36), at(37), at(39)]) part.slide(tick, tick + 100, -0.6, 0);
}

/** Accordion in the dance; timpani on the way up the hill and to the end. */
export function accordionThenTimpani(score: Score): void {
  const at = (bar: number) => score.at(bar);
  const part = score.part('Accordion and timpani', 15, {
    program: 21,
    volume: 86,
    pan: 50,
    reverb: 50,
    at: 290,
  });
  part.play(
    at(BAR.bridge),
    `@mf g4/4 bb4 eb5 | d5/4. c5/8 bb4/4 | f4 bb4 d5 | c5/4. bb4/8 f4/4 | eb4 g4 c5 | bb4/4. ab4/8 g4/4 |
     d4 g4 bb4 | bb4/2. |
     ab4+c5/4 c5+eb5 eb5+ab5 | eb5+g5/4. d5+f5/8 c5+eb5/4 | g4+bb4 bb4+eb5 eb5+g5 | d5+f5/4. c5+eb5/8 g4+bb4/4 |
     f4+ab4 ab4+c5 c5+f5 | c5+eb5/4. bb4+d5/8 ab4+c5/4 | @< g4+d5 g4+c5 c5+g5 | @mp g4+b4/2.`,
    { gate: 0.93 },
  );
  part.program(at(BAR.build) + 240, 47);
  part.play(
    at(60),
    `@p @< g2/4' - - g2/8 g2 | g2/4' - - g2/8 g2 | [g2/16]*16 | [g2]*16 | [g2]*16 | @ff [g2]*12 g2/4`,
  );
  part.play(
    at(BAR.final),
    `@f c3/2! -/4 g2/8 g2 | -/1 | a2/2 - | - -/4 g2/8 g2 | g2/2! -/4 g2 | f2/2 - | -/1 | g2/4 g2 g2/8 g2 g2 g2 |
     c3/2! -/4 g2/8 g2 | -/1 | a2/2 - | -/1 | g2/2! -/4 g2 | g2/2 - | c3/4 - g2 g2 | @ff c3/2! -/2 |
     @mf -/1 | -/1 | @< g2/8 g2 g2/4 -/2 | [g2/16]*16 | @f c3/1! | [c3/16]*4 c3/2!`,
  );
}

/** Synthesizer lead: fills that bend, and the tune on the way up the hill. */
export function synthLead(score: Score): void {
  const at = (bar: number, beat = 1) => score.at(bar, beat);
  const part = score.part('Synth lead', 13, {
    program: 81,
    volume: 74,
    pan: 44,
    reverb: 48,
    chorus: 30,
    at: 276,
  });
  part.bendRange(300, 7);
  part.play(at(33), '@mp -/2 c5/8 d5 eb5 f5', { gate: 0.95 });
  part.play(at(49), '@mp -/4 eb5/8 d5 c5 bb4', { gate: 0.95 });
  part.play(
    at(BAR.build),
    `@p @< d5/4. g5/8 f5 d5 c5 b4 | c5/8 d5 a4/4 c5/2 | e5/4. g5/8 b5 a5 g5 e5 | f5/8 e5 d5/4 b4/2 |
     @mf @< f5/4. a5/8 g5 f5 e5 d5 | e5/8 f5 c5/4 f5 a5 | g5/2 c6 | @f b5/2. -/4`,
    { gate: 0.96 },
  );
  // Long notes begin a whole tone low; the last one rises into the final chorus.
  for (const tick of [at(59, 3), at(61, 3), at(64), at(64, 3)]) part.slide(tick, tick + 160, -2, 0);
  part.slide(at(65, 2), at(65, 3.9), 0, 1, 30);
  part.bend(at(65, 4) + 40, 0);
  part.sweep(CC.modulation, at(65), at(65, 3), 0, 70);
  part.control(at(BAR.final), CC.modulation, 0);
  part.play(at(73), '@f -/2 d5/8 e5 f5 g5', { gate: 0.95 });
  part.play(at(81), '@f -/2. g5/8 e5', { gate: 0.95 });
}

/** Bells at dusk, vibraphone in the verse, glockenspiel over the whole town. */
export function bells(score: Score): void {
  const at = (bar: number) => score.at(bar);
  const part = score.part('Bells', 11, { program: 14, volume: 82, pan: 90, reverb: 72, at: 262 });
  part.play(at(BAR.intro), '@mp g4/2 d5 | eb5/1 | d5/2 bb4 | c5/1 | g4/2 d5 | bb4/1 | eb5/2 g4 | @p d5/1', {
    gate: 0.97,
  });
  part.program(at(BAR.verse) + 240, 11);
  part.play(
    at(BAR.verse2),
    `@p -/2 -/8 d5 bb5 a5 | -/2 g5/8 bb5 -/4 | -/1 | -/2 c5/8 f5 a5 c6 | -/1 | -/2 g5/8 c6 -/4 | -/1 | f5/4 -/2.`,
  );
  part.program(at(BAR.build), 9);
  part.play(at(BAR.final), `@p ${CHORUS}`, { transpose: LIFT + 12, gate: 0.6 });
  part.play(at(BAR.final2), `@p ${CHORUS_2}`, { transpose: LIFT + 12, gate: 0.6 });
  part.play(at(86), '@mp c6/4 e6 g6 c7 | @p g6/2 -', { gate: 0.9 });
}
