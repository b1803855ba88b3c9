import { hexText } from '../../core/midi/hex-text.ts';
import type { IdentityReply } from '../../core/midi/identity-reply.ts';

/**
 * An answer in words: `device 17: maker 7D, family 1, member 2, version 01 00 00 00`. Makers go by their number: whose
 * it is, stands in the list that the MIDI associations keep.
 */
export function identityWords({ device, maker, family, member, version }: IdentityReply): string {
  const who = device === 0x7f ? 'every device' : `device ${device + 1}`;
  return `${who}: maker ${hexText(maker)}, family ${family}, member ${member}, version ${hexText(version)}`;
}
