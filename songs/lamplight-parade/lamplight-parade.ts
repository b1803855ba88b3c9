import type { Score } from '../score.ts';
import { paradeScore } from './parade-form.ts';
import { bass, drums, guitar, harp, piano } from './parade-rhythm.ts';
import { brass, choir, highStrings, horns, lowStrings, pad } from './parade-sustain.ts';
import { accordionThenTimpani, bells, counterMelody, lead, synthLead } from './parade-tunes.ts';

/**
 * "Lamplight Parade": sixteen parts. On the last evening of summer a harbour town carries lanterns down to
 * the water: dusk, the first lanterns, the parade, a dance at the boathouse, up the hill and home.
 */
export function lamplightParade(): Score {
  const score = paradeScore();
  lead(score);
  counterMelody(score);
  bass(score);
  piano(score);
  guitar(score);
  highStrings(score);
  lowStrings(score);
  pad(score);
  horns(score);
  drums(score);
  brass(score);
  bells(score);
  choir(score);
  synthLead(score);
  harp(score);
  accordionThenTimpani(score);
  return score;
}
