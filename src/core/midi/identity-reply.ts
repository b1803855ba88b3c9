/** What an instrument says of itself (Identity Reply, MIDI 1.0, Table VIIa and p. 40). */
export interface IdentityReply {
  /** Device id it answers under, 0–127. */
  readonly device: number;
  /** The maker's id: one byte, or three of which the first is 0. */
  readonly maker: readonly number[];
  /** 14 bits each, the low byte first on the wire. */
  readonly family: number;
  readonly member: number;
  /** Four bytes, in the maker's own format. */
  readonly version: readonly number[];
}

/** F0 7E 7F 06 01 F7: asks every device that hears it who it is. Nothing is stored by it. */
export const IDENTITY_REQUEST: readonly number[] = [0xf0, 0x7e, 0x7f, 0x06, 0x01, 0xf7];

const SHORT_REPLY = 15;
const LONG_REPLY = 17;

/** @param bytes a whole SysEx, F0 and F7 included; undefined for any other message, and for one cut short */
export function identityReplyOf(bytes: Uint8Array): IdentityReply | undefined {
  const isReply = bytes[0] === 0xf0 && bytes[1] === 0x7e && bytes[3] === 0x06 && bytes[4] === 0x02;
  const makerBytes = bytes[5] === 0 ? 3 : 1;
  const length = makerBytes === 3 ? LONG_REPLY : SHORT_REPLY;
  if (!isReply || bytes.length !== length || bytes[length - 1] !== 0xf7) return undefined;
  const at = 5 + makerBytes;
  return {
    device: bytes[2]!,
    maker: [...bytes.subarray(5, at)],
    family: bytes[at]! | (bytes[at + 1]! << 7),
    member: bytes[at + 2]! | (bytes[at + 3]! << 7),
    version: [...bytes.subarray(at + 4, at + 8)],
  };
}
