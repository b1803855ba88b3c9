import { type CommandSection, readCommandSection } from './command-list.ts';
import type { Journal } from './journal.ts';
import type { JournalReader } from './read-journal.ts';
import { type RtpHeader, readRtpHeader } from './rtp-header.ts';

/** One packet, read whole. */
export interface RtpPacket extends RtpHeader {
  readonly commands: CommandSection['commands'];
  readonly journal: Journal | undefined;
}

/** @returns undefined where anything in the datagram is not as RFC 3550 and RFC 6295 have it: half a packet is none. */
export function readRtpPacket(datagram: Uint8Array, journals: JournalReader): RtpPacket | undefined {
  const header = readRtpHeader(datagram);
  if (header === undefined) return undefined;
  const section = readCommandSection(datagram, header.payloadAt, header.payloadEnd);
  if (section === undefined) return undefined;
  const journal = section.hasJournal ? journals.read(datagram, section.end, header.payloadEnd) : undefined;
  if (section.hasJournal && journal === undefined) return undefined;
  return { ...header, commands: section.commands, journal };
}
