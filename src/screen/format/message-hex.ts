import { hexText } from '../../core/midi/hex-text.ts';
import { DATA_BYTES } from '../../core/midi/status.ts';

/** A message of the ring (status<<16 | data1<<8 | data2) as its bytes: `90 3C 40`. */
export function messageHex(packed: number): string {
  const status = (packed >>> 16) & 0xff;
  const length = 1 + Math.max(0, Math.min(2, DATA_BYTES[status]!));
  const bytes = [status, (packed >>> 8) & 0xff, packed & 0xff].slice(0, length);
  return hexText(bytes);
}
