import { GENERAL_MIDI } from '../../core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../core/instrument/instrument.ts';
import { counted } from '../../core/report/figure-text.ts';
import { fetchedInstrument } from '../../profile/instrument-shelf.ts';

/** What can be said of an instrument on the command line, over what is known of it. */
export interface SaidOfInstrument {
  /** Name or file of a profile that has been fetched; General MIDI where none is named. */
  readonly instrument?: string;
  readonly voices?: number;
  readonly parts?: number;
  readonly full?: Instrument['full'];
  readonly releaseTime?: number;
}

/** The instrument a song is made to fit. */
export function instrumentToFit(said: SaidOfInstrument): Instrument {
  const known = said.instrument === undefined ? GENERAL_MIDI : fetchedInstrument(said.instrument);
  const words = [
    said.voices === undefined || said.voices === known.voices ? '' : counted(said.voices, 'voice'),
    said.parts === undefined || said.parts === known.parts ? '' : counted(said.parts, 'part'),
  ].filter((word) => word !== '');
  return {
    ...known,
    name: [known.name, ...words].join(', '),
    voices: said.voices ?? known.voices,
    parts: said.parts ?? known.parts,
    full: said.full ?? known.full,
    releaseMicros: said.releaseTime === undefined ? known.releaseMicros : said.releaseTime * 1000,
  };
}
