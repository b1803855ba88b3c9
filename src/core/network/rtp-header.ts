/** RTP's fixed header (RFC 3550, section 5.1): twelve bytes, no list of contributors, nothing after it. */
export interface RtpHeader {
  /** RFC 6295, section 2.1: set where the packet carries commands. */
  readonly marker: boolean;
  /** 0–65535, one more for each packet. */
  readonly sequence: number;
  /** Ticks of the stream's clock, mod 2³². */
  readonly timestamp: number;
  /** Who sends, by a number drawn at the start: another number is another sender, or the same one begun anew. */
  readonly source: number;
}

export const RTP_HEADER_BYTES = 12;
/** A dynamic payload type, as RFC 6295's examples have it; the far end takes any of 96–127. */
export const RTP_PAYLOAD_TYPE = 97;
/** Ticks a second, as in RFC 6295's examples. A tick is 23 µs, a fourteenth of a MIDI byte. */
export const RTP_CLOCK_HZ = 44_100;

const VERSION_2 = 0x80;
const LOWEST_DYNAMIC = 96;

export function writeRtpHeader(header: RtpHeader, into: Uint8Array): void {
  into[0] = VERSION_2;
  into[1] = (header.marker ? 0x80 : 0) | RTP_PAYLOAD_TYPE;
  put32(into, 2, header.sequence << 16, 2);
  put32(into, 4, header.timestamp, 4);
  put32(into, 8, header.source, 4);
}

/** Undefined where the datagram is no RTP packet of a kind that we could be meant by. `payloadAt`: first byte after it. */
export function readRtpHeader(
  datagram: Uint8Array,
): (RtpHeader & { readonly payloadAt: number; readonly payloadEnd: number }) | undefined {
  if (datagram.length < RTP_HEADER_BYTES || (datagram[0]! & 0xc0) !== VERSION_2) return undefined;
  if ((datagram[1]! & 0x7f) < LOWEST_DYNAMIC) return undefined;
  let payloadAt = RTP_HEADER_BYTES + 4 * (datagram[0]! & 0x0f);
  if ((datagram[0]! & 0x10) !== 0) {
    // An extension: 16 bits of its own, then its length in words.
    if (payloadAt + 4 > datagram.length) return undefined;
    payloadAt += 4 + 4 * ((datagram[payloadAt + 2]! << 8) | datagram[payloadAt + 3]!);
  }
  // Padding: the last byte says how many.
  const padding = (datagram[0]! & 0x20) !== 0 ? datagram[datagram.length - 1]! : 0;
  const payloadEnd = datagram.length - padding;
  if (payloadAt >= payloadEnd) return undefined;
  return {
    marker: datagram[1]! >= 0x80,
    sequence: (datagram[2]! << 8) | datagram[3]!,
    timestamp: get32(datagram, 4),
    source: get32(datagram, 8),
    payloadAt,
    payloadEnd,
  };
}

function put32(into: Uint8Array, at: number, value: number, bytes: number): void {
  for (let i = 0; i < bytes; i += 1) into[at + i] = (value >>> (24 - 8 * i)) & 0xff;
}

function get32(from: Uint8Array, at: number): number {
  return ((from[at]! << 24) | (from[at + 1]! << 16) | (from[at + 2]! << 8) | from[at + 3]!) >>> 0;
}
