import { Score } from '../score.ts';

/** First bars of the sections. Bar 1 is one beat long: the module comes to itself after the reset. */
export const BAR = {
  intro: 2,
  verse: 10,
  verse2: 18,
  chorus: 26,
  chorus2: 34,
  bridge: 42,
  build: 58,
  final: 66,
  final2: 74,
  ending: 82,
  end: 88,
} as const;

/** The final chorus stands a whole tone higher. */
export const LIFT = 2;

export const CHORDS = {
  intro: 'Gm | Eb | Bb | F | Gm | Eb | Cm7 | D7sus D7',
  verse: 'Gm | Eb | Bb | F/A | Gm | Cm7 | Eb | D7',
  verse2: 'Gm | Eb | Bb | F/A | Eb | Cm7 | Eb | F7sus F7',
  chorus: 'Bb | F/A | Gm | Eb | Bb/F | Eb | Cm7 | F7',
  chorus2: 'Bb | F/A | Gm | Eb | Bb/F | F7 | Bb F7 | Bb',
  bridge: 'Eb | Eb | Bb/D | Bb/D | Cm | Cm | Gm | Gm | Ab | Ab | Eb/G | Eb/G | Fm7 | Fm7 | G7sus | G7',
  build: 'Dm7/G | F/G | Em7/G | G7 | Dm7/G | F/G | G7sus | G7',
  ending: 'F | Fm6 | C/G | G7sus G7 | C | C',
} as const;

/** Tempo, meter, keys, markers: a town walks to the harbour with lanterns, dances there, and walks home. */
export function paradeScore(): Score {
  const score = new Score('Lamplight Parade');
  const at = (bar: number, beat = 1) => score.at(bar, beat);
  score.resetModule();
  score.meter(0, 1, 4);
  score.meter(480, 4, 4);
  score.meter(at(BAR.bridge), 3, 4);
  score.meter(at(BAR.build), 4, 4);

  score.key(0, -2, 'minor');
  score.key(at(BAR.chorus), -2, 'major');
  score.key(at(BAR.bridge), -3, 'major');
  score.key(at(BAR.build), 0, 'major');

  score.marker(at(BAR.intro), 'Dusk on the quay');
  score.marker(at(BAR.verse), 'The first lanterns');
  score.marker(at(BAR.chorus), 'The parade');
  score.marker(at(BAR.bridge), 'A dance at the boathouse');
  score.marker(at(BAR.build), 'Up the hill');
  score.marker(at(BAR.final), 'The whole town');
  score.marker(at(BAR.ending), 'Lights out');

  score.tempo(0, 104);
  score.easeTempo(at(9), at(9, 4), 104, 98);
  score.tempo(at(BAR.verse), 108);
  score.tempo(at(BAR.chorus), 112);
  score.easeTempo(at(41), at(41, 4), 112, 104);
  score.tempo(at(BAR.bridge), 138);
  score.easeTempo(at(56), at(57, 3), 136, 112);
  score.easeTempo(at(BAR.build), at(65), 100, 116);
  score.tempo(at(BAR.final), 114);
  score.easeTempo(at(84), at(86), 110, 78);
  score.tempo(at(86), 72);
  return score;
}
