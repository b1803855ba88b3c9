import { controllerName } from '../../core/midi/controllers.ts';
import { programName } from '../../core/midi/general-midi.ts';
import { keyName } from '../../core/midi/key-names.ts';
import { DATA_BYTES, STATUS_TABLE } from '../../core/midi/status.ts';
import { signedText } from '../format/moment.ts';

/** A message of the ring (status<<16 | data1<<8 | data2) as its bytes: `90 3C 40`. */
export function messageHex(packed: number): string {
  const status = (packed >>> 16) & 0xff;
  const length = 1 + Math.max(0, Math.min(2, DATA_BYTES[status]!));
  const bytes = [status, (packed >>> 8) & 0xff, packed & 0xff].slice(0, length);
  return bytes.map((byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join(' ');
}

/** The same message in words, without its channel: `Note On C4 velocity 64`. */
export function messageWords(packed: number): string {
  const status = (packed >>> 16) & 0xff;
  const data1 = (packed >>> 8) & 0x7f;
  const data2 = packed & 0x7f;
  switch (STATUS_TABLE[status]?.kind) {
    case 'note-on':
      return data2 === 0
        ? `Note Off ${keyName(data1)} (velocity 0)`
        : `Note On ${keyName(data1)} velocity ${data2}`;
    case 'note-off':
      return `Note Off ${keyName(data1)}`;
    case 'key-pressure':
      return `Key Pressure ${keyName(data1)} ${data2}`;
    case 'controller':
      return `${controllerName(data1)} ${data2}`;
    case 'program':
      return `Program ${data1 + 1} ${programName(data1)}`;
    case 'channel-pressure':
      return `Channel Pressure ${data1}`;
    case 'pitch-bend':
      return `Pitch Bend ${signedText((data1 | (data2 << 7)) - 8192)}`;
    default:
      return STATUS_TABLE[status]?.name ?? 'unknown';
  }
}
