import { MIDI_WIRE, type WireTraits } from '../../core/wire/wire-traits.ts';
import { Refusal } from '../../trouble/refusal.ts';

/** What `serial:<device>[@baud]` says: the device's path, and the wire that goes with the baud rate. */
export interface SerialName {
  readonly path: string;
  readonly wire: WireTraits;
}

/** @param text what follows `serial:`. 31,250 baud where it names none. Throws a refusal. */
export function serialNameOf(text: string): SerialName {
  const match = /^([^@].*?)(?:@(\d+))?$/.exec(text);
  if (!match)
    throw new Refusal(
      'no device is named',
      'serial:',
      'write serial:/dev/ttyS0, or serial:/dev/ttyUSB0@38400',
    );
  const baud = match[2] === undefined ? MIDI_WIRE.baud : Number(match[2]);
  if (baud < LOWEST_BAUD || baud > HIGHEST_BAUD) {
    throw new Refusal(`${baud} is no baud rate`, `serial:${text}`, `use ${LOWEST_BAUD} to ${HIGHEST_BAUD}`);
  }
  return { path: match[1]!, wire: { ...MIDI_WIRE, baud } };
}

/** Below 300 a note-on takes a tenth of a second; above 4,000,000 no common UART goes. */
const LOWEST_BAUD = 300;
const HIGHEST_BAUD = 4_000_000;
