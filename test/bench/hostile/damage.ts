/** Bytes that mean something to a reader, so that a damaged file gets deep into it. */
const TELLING = [
  0x00, 0x01, 0x7f, 0x80, 0x81, 0x90, 0x9f, 0xb0, 0xc5, 0xe3, 0xf0, 0xf7, 0xff, 0x2f, 0x51, 0x58, 0x21, 0x03,
  0xf2, 0xf8, 0xfe,
];

/** What is put into a file whole: chunk heads, events that carry lengths, messages that must not go out. */
const PIECES = [
  'MTrk\0\0\0\x09',
  'MThd\0\0\0\x06\0\x01\0\x01\0\x60',
  'RIFF\0\0\0\x40RMID',
  '\0\xff\x51\x03\0\0\x01',
  '\0\xff\x2f\0',
  '\0\x90\x3c\x40\0\x91\x3c\x40',
  '\0\xb0\x40\x7f',
  '\0\xf0\x05\x7e\x7f\x09\x01\xf7',
  '\0\xf0\x04\x7e\x7f\x06\x01\0\xf7\x03\x9f\x3c\x7f',
  '\0\xf0\x03\x41\x90\x40',
  '\0\xf7\x02\xfa\xff',
  '\xff\xff\xff\x7f\x90\x3c\x40',
].map((text) => Uint8Array.from(text, (letter) => letter.charCodeAt(0)));

/**
 * A damaged copy of a file: up to eight bits turned, bytes replaced, stretches taken out, doubled or put in from
 * another place, cut short. The same chance gives the same damage.
 */
export function damage(whole: Uint8Array, chance: () => number): Uint8Array {
  let bytes = whole;
  const upTo = (end: number) => Math.floor(chance() * end);
  for (let left = 1 + upTo(8); left > 0; left -= 1) {
    const at = upTo(bytes.length + 1);
    switch (upTo(6)) {
      case 0:
        bytes = bytes.slice();
        if (at < bytes.length) bytes[at]! ^= 1 << upTo(8);
        break;
      case 1:
        bytes = bytes.slice();
        if (at < bytes.length) bytes[at] = TELLING[upTo(TELLING.length)]!;
        break;
      case 2:
        bytes = joined(bytes.subarray(0, at), bytes.subarray(at + upTo(24)));
        break;
      case 3:
        bytes = joined(bytes.subarray(0, at), bytes.subarray(Math.max(0, at - upTo(40))));
        break;
      case 4:
        bytes = joined(bytes.subarray(0, at), PIECES[upTo(PIECES.length)]!, bytes.subarray(at));
        break;
      case 5:
        if (chance() < 0.2) bytes = bytes.slice(0, at);
        break;
    }
  }
  return bytes;
}

function joined(...parts: Uint8Array[]): Uint8Array {
  const all = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    all.set(part, at);
    at += part.length;
  }
  return all;
}
