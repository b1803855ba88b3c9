import { MIDI_WIRE, type WireTraits } from '../../core/wire/wire-traits.ts';
import { Refusal } from '../../trouble/refusal.ts';

/** What `rtp:[<host>:]<port>[@ms]` says. */
export interface RtpName {
  /** A name or an address; of an input the address of ours that is listened at, undefined for all of them. */
  readonly host: string | undefined;
  readonly port: number;
  /** How long what comes is held, so that the network's unevenness is not heard. */
  readonly playoutMicros: number;
}

/**
 * The far board sends to a MIDI wire, so the messages go at the pace of one. It encodes for itself, and nothing is known of how:
 * each message is counted whole.
 */
export const RTP_WIRE: WireTraits = { ...MIDI_WIRE, runningStatus: 'device' };

/** A cable adds well under a millisecond and a timer wakes one late; radio wants more (common practice, no source). */
const USUAL_PLAYOUT_MS = 5;
const LONGEST_PLAYOUT_MS = 1000;
const HIGHEST_PORT = 65_535;

/** @param text what follows `rtp:`. Throws a refusal. */
export function rtpNameOf(text: string): RtpName {
  const match = /^(?:(\[[0-9A-Fa-f:.%\w]+\]|[^:@\s]+):)?(\d{1,5})(?:@(\d{1,5}))?$/.exec(text);
  const port = Number(match?.[2] ?? 0);
  if (!match || port < 1 || port > HIGHEST_PORT) {
    throw new Refusal(
      'this names no port of a network',
      `rtp:${text}`,
      'write rtp:192.168.1.20:5004, or rtp:5004',
    );
  }
  const playoutMs = Number(match[3] ?? USUAL_PLAYOUT_MS);
  if (playoutMs > LONGEST_PLAYOUT_MS) {
    throw new Refusal(`${playoutMs} ms is too long`, `rtp:${text}`, `use 0 to ${LONGEST_PLAYOUT_MS} ms`);
  }
  return { host: match[1]?.replace(/^\[|\]$/g, ''), port, playoutMicros: playoutMs * 1000 };
}

/** The name of an output: it has a host, and no time to hold what it sends. */
export function rtpTargetOf(text: string): { readonly host: string; readonly port: number } {
  const { host, port } = rtpNameOf(text);
  if (host === undefined) {
    throw new Refusal('no host is named', `rtp:${text}`, `write rtp:<host>:${port}, a name or an address`);
  }
  if (text.includes('@')) {
    throw new Refusal('the time after @ is for listening', `rtp:${text}`, 'leave it out here');
  }
  return { host, port };
}
