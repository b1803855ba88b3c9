import { arpeggiate, bassLine, comp, harmonyAt } from '../accompaniment.ts';
import type { Score } from '../score.ts';
import { BAR, CHORDS, LIFT } from './parade-form.ts';

/** Fretless bass in the verse, fingered bass from the chorus on. */
export function bass(score: Score): void {
  const at = (bar: number, beat = 1) => score.at(bar, beat);
  const part = score.part('Bass', 2, { program: 35, volume: 98, pan: 64, reverb: 20, at: 212 });
  part.bendRange(224, 2);
  const { grid } = score;
  bassLine(part, harmonyAt(grid, BAR.verse, CHORDS.verse), 'R--- --R- 5--- R-L-', { low: 31, level: 'mp' });
  bassLine(part, harmonyAt(grid, BAR.verse2, CHORDS.verse2), 'R--- --R- 5--- R-L-', { low: 31 });
  for (const bar of [10, 14, 18]) part.slide(at(bar), at(bar) + 120, -1, 0);
  part.program(at(BAR.chorus) - 60, 33);
  bassLine(part, harmonyAt(grid, BAR.chorus, CHORDS.chorus), 'R--- R-8- 5-R- R-L-', { low: 31, level: 'f' });
  bassLine(part, harmonyAt(grid, BAR.chorus2, CHORDS.chorus2), 'R--- R-8- R--- R-L-', {
    low: 31,
    level: 'f',
  });
  bassLine(part, harmonyAt(grid, BAR.bridge, CHORDS.bridge), 'R-- --5', { low: 31 });
  bassLine(part, harmonyAt(grid, BAR.build, CHORDS.build), 'RRRR RRRR', { low: 31, level: 'mp' });
  bassLine(part, harmonyAt(grid, BAR.final, CHORDS.chorus, LIFT), 'R--- R-8- 5-R- R-L-', {
    low: 31,
    level: 'f',
  });
  bassLine(part, harmonyAt(grid, BAR.final2, CHORDS.chorus2, LIFT), 'R--- R-8- R--- R-L-', {
    low: 31,
    level: 'f',
  });
  part.play(at(BAR.ending), "@mf f2/2. f2/4 | f2/2. f2/4 | g2/1 | g2/2 g1 | c2/1 | _/2' -", { gate: 0.96 });
}

/** Piano: broken chords under the second half of the verse, struck ones in the chorus, off the beat in the dance. */
export function piano(score: Score): void {
  const at = (bar: number) => score.at(bar);
  const part = score.part('Piano', 3, { program: 0, volume: 82, pan: 40, reverb: 44, at: 218 });
  const { grid } = score;
  const verse = harmonyAt(grid, BAR.verse2, CHORDS.verse2);
  arpeggiate(part, verse, '12 32 13 21', { voices: 3, low: 55, high: 74, level: 'p' });
  const chorus = { voices: 3, low: 55, high: 74, level: 'mf' } as const;
  comp(part, harmonyAt(grid, BAR.chorus, CHORDS.chorus), 'X--x --x- x--- x-x-', chorus);
  comp(part, harmonyAt(grid, BAR.chorus2, CHORDS.chorus2), 'X--x --x- x--- x-x-', chorus);
  comp(part, harmonyAt(grid, BAR.bridge, CHORDS.bridge), '. x x', {
    voices: 3,
    low: 55,
    high: 72,
    level: 'p',
  });
  comp(part, harmonyAt(grid, BAR.final, CHORDS.chorus, LIFT), 'X--x --x- x--- x-x-', chorus);
  comp(part, harmonyAt(grid, BAR.final2, CHORDS.chorus2, LIFT), 'X--x --x- x--- x-x-', chorus);
  part.play(
    at(BAR.ending),
    '@mp f4+a4+c5/1 | f4+ab4+d5 | g4+c5+e5 | f4+g4+c5/2 f4+g4+b4 | @p e4+g4+c5/1 | _/2. -/4',
    { gate: 0.98 },
  );
  const bars = Array.from({ length: 8 }, (_, index) => BAR.verse2 + index);
  const halves = bars.flatMap((bar) => (bar === 25 ? [at(bar), score.at(bar, 3)] : [at(bar)]));
  part.pedal(halves, at(BAR.chorus) - 40);
}

/** Nylon strings in broken chords, then a clean electric guitar off the beat. */
export function guitar(score: Score): void {
  const at = (bar: number) => score.at(bar);
  const part = score.part('Guitar', 4, { program: 24, volume: 76, pan: 88, reverb: 40, at: 224 });
  const { grid } = score;
  const picked = { voices: 4, low: 50, high: 69, level: 'p' } as const;
  arpeggiate(part, harmonyAt(grid, BAR.verse, CHORDS.verse), '1-2- 3-4- 3-2- 3-2-', picked);
  arpeggiate(part, harmonyAt(grid, BAR.verse2, CHORDS.verse2), '1-2- 3-4- 3-2- 3-2-', picked);
  part.program(at(BAR.chorus) - 120, 27);
  const strummed = { voices: 2, low: 60, high: 72, level: 'mp' } as const;
  comp(part, harmonyAt(grid, BAR.chorus, CHORDS.chorus), '..x. ..x. ..x. ..xx', strummed);
  comp(part, harmonyAt(grid, BAR.chorus2, CHORDS.chorus2), '..x. ..x. ..x. ..xx', strummed);
  comp(part, harmonyAt(grid, BAR.final, CHORDS.chorus, LIFT), '..x. ..x. ..x. ..xx', strummed);
  comp(part, harmonyAt(grid, BAR.final2, CHORDS.chorus2, LIFT), '..x. ..x. ..x. ..xx', strummed);
  part.play(at(86), '@p c3/8 g3 c4 e4 g4/2 | -/1', { gate: 0.97 });
}

/** Harp: slow waves at dusk, runs into the choruses, the last light. */
export function harp(score: Score): void {
  const at = (bar: number, beat = 1) => score.at(bar, beat);
  const part = score.part('Harp', 14, { program: 46, volume: 80, pan: 30, reverb: 64, at: 283 });
  const { grid } = score;
  const intro = harmonyAt(grid, BAR.intro, CHORDS.intro);
  arpeggiate(part, intro, '12 34 54 32', { voices: 5, low: 48, high: 74, level: 'mp' });
  const run = (bar: number, text: string) => part.play(at(bar, 3), text, { gate: 0.9 });
  run(25, '@p @< f3/16 a3 c4 eb4 f4 a4 c5 eb5 @mf');
  run(65, '@mp @< g3/16 b3 d4 f4 g4 b4 d5 f5 @f');
  part.play(at(87), '@p c3/16 g3 c4 e4 g4 c5 e5 g5 c6/2', { gate: 0.96 });
}

export function drums(score: Score): void {
  const at = (bar: number) => score.at(bar);
  const part = score.part('Drums', 9, { volume: 104, reverb: 36, at: 248 });
  const fill = {
    snare: 'x-xx o-xx ---- ----',
    highTom: '---- ---- xx-- ----',
    midTom: '---- ---- --xx ----',
    lowTom: '---- ---- ---- xxxx',
    kick: 'x--- x--- x--- x---',
  };

  part.drums(at(6), { cabasa: 'o-x- o-x- o-x- o-xo', triangle: 'x--- ---- ---- ----' }, 4, 'p');
  const walk = {
    kick: 'x--- ---- x-x- ----',
    stick: '---- x--- ---- x---',
    closedHat: 'o-x- o-x- o-x- o-x-',
  };
  part.drums(at(BAR.verse), walk, 8, 'p');
  part.drums(
    at(BAR.verse2),
    { ...walk, ride: 'x-o- x-o- x-o- x-o-', closedHat: '---- x--- ---- x---' },
    7,
    'mp',
  );
  part.drums(at(25), { ...fill, stick: '----' }, 1, 'mf');

  const parade = {
    kick: 'X--- --x- x-x- ----',
    snare: '---- X--o ---- X--o',
    closedHat: 'x-o- x-o- x-o- x---',
    openHat: '---- ---- ---- --x-',
  };
  const chorus = (bar: number, level: 'f' | 'mf') => {
    part.drums(at(bar), { crash: `x${'-'.repeat(15)}` }, 1, level);
    part.drums(at(bar), parade, 7, level);
    part.drums(at(bar + 7), fill, 1, level);
    part.drums(at(bar + 8), { crash2: `x${'-'.repeat(15)}` }, 1, level);
    part.drums(at(bar + 8), { ...parade, tambourine: '--o- --o- --o- --o-' }, 7, level);
  };
  chorus(BAR.chorus, 'mf');
  part.drums(at(41), { kick: 'x---', openHat: '---- ---- x---', snare: '---- ---- ---- xxxx' }, 1, 'mp');

  part.drums(
    at(BAR.bridge),
    { kick: 'x--- ---- ----', pedalHat: '---- x--- x---', tambourine: '---- o--- o-o-' },
    8,
    'mp',
  );
  part.drums(at(50), { kick: 'x--- ---- ----', pedalHat: '---- x--- x---', ride: 'x--- o-o- x---' }, 8, 'mp');

  const levels = ['pp', 'p', 'p', 'p', 'mp', 'mp', 'mf'] as const;
  for (const [index, level] of levels.entries()) {
    part.drums(
      at(BAR.build + index),
      { kick: 'x--- x--- x--- x---', snare: 'oxoo xoxo oxoo xoxx' },
      1,
      level,
    );
  }
  part.drums(
    at(65),
    { snare: 'xxxx xxxx xxxx ----', kick: 'x-x- x-x- x-x- ----', crash: '---- ---- ---- ----' },
    1,
    'f',
  );

  chorus(BAR.final, 'f');
  part.drums(at(81), fill, 1, 'f');
  part.drums(
    at(BAR.ending),
    { crash: `x${'-'.repeat(15)}`, kick: 'x--- ---- x--- ----', ride: 'x--- o--- x--- o---' },
    1,
    'mf',
  );
  part.drums(at(83), { kick: 'x--- ---- x--- ----', ride: 'x--- o--- x--- o---' }, 2, 'mp');
  part.drums(at(85), { snare: 'oooo oooo oooo xxxx' }, 1, 'mp');
  part.drums(
    at(86),
    { crash: `X${'-'.repeat(15)}`, kick: `X${'-'.repeat(15)}`, triangle: '---- ---- x--- ----' },
    1,
    'mf',
  );
  part.drums(at(87), { crash2: '---- X--- ---- ----', kick: '---- X--- ---- ----' }, 1, 'f');
}
