import type { FitSeat } from '../../core/arrange/fit/fit-seat.ts';
import { GENERAL_MIDI } from '../../core/instrument/general-midi-instrument.ts';
import type { Instrument } from '../../core/instrument/instrument.ts';
import { ALL_CHANNELS, seatWords } from '../../core/instrument/orchestra.ts';
import { counted } from '../../core/report/figure-text.ts';
import { fetchedInstrument } from '../../profile/instrument-shelf.ts';
import { seatsOf } from '../options/outputs.ts';

/** What can be said of an instrument on the command line, over what is known of it; of several, of each. */
export interface SaidOfInstrument {
  /** Name or file of a profile that has been fetched; General MIDI where none is named. */
  readonly instrument?: string;
  readonly voices?: number;
  readonly parts?: number;
  readonly full?: Instrument['full'];
  readonly releaseTime?: number;
}

/** The instruments a song is made to fit, as a map has them; one behind all channels where there is none. */
export function seatsToFit(
  said: SaidOfInstrument,
  ports: readonly string[],
  map: string | undefined,
): readonly FitSeat[] {
  const seats = seatsOf(ports, map, said.instrument);
  if (seats.length > 0) return seats.map((seat) => ({ ...seat, instrument: asSaid(seat.instrument, said) }));
  const known = said.instrument === undefined ? GENERAL_MIDI : fetchedInstrument(said.instrument);
  return [{ port: undefined, instrument: asSaid(known, said), channels: ALL_CHANNELS }];
}

/** `a (Lindwurm Eight)`, or the instrument's name alone where there is one. */
export function fittedSeatWords({ port, instrument }: FitSeat): string {
  return port === undefined ? instrument.name : seatWords({ port, instrument });
}

function asSaid(known: Instrument, said: SaidOfInstrument): Instrument {
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
