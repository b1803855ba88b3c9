import type { RtpCounts } from '../network/rtp-receiver.ts';
import { counted } from './figure-text.ts';

/** In a few words: what came, and what of it did not come as it was sent. */
export function packetWords(counts: RtpCounts): string {
  const words = [counted(counts.heard, 'packet')];
  if (counts.lost > 0) words.push(`${counts.lost} lost, ${counts.recovered} recovered`);
  if (counts.reordered > 0) words.push(`${counts.reordered} out of order`);
  if (counts.late > 0) words.push(`${counts.late} too late`);
  if (counts.foreign > 0) words.push(`${counts.foreign} of others`);
  if (counts.unreadable > 0) words.push(`${counts.unreadable} unreadable`);
  return words.join(', ');
}
