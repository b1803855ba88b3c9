/** Longer texts are cut, in bytes: a lyric needs a line, and a file of one endless text must not fill memory. */
export const LONGEST_TEXT = 4096;

/**
 * Text of meta events. The standard asks for ASCII and allows other character codes by agreement (SMF 1.1,
 * section 3.1), which nobody writes down in the file. So: what is faultless UTF-8 is UTF-8 (Latin-1 text
 * hardly ever is by chance), all else is Latin-1, in which every byte is a character. Nothing is cleaned here.
 */
export function decodeText(bytes: Uint8Array, start = 0, length = bytes.length - start): string {
  const whole = Math.min(start + length, bytes.length);
  const end = Math.min(whole, start + LONGEST_TEXT);
  // A cut may fall inside a character of several bytes: then it is moved before it.
  let cut = end;
  while (end < whole && cut > end - 4 && (bytes[cut]! & 0xc0) === 0x80) cut -= 1;
  return decodeUtf8(bytes, start, cut) ?? decodeLatin1(bytes, start, end);
}

/** Smallest code point that needs 2, 3 and 4 bytes: a longer form of a smaller one is a fault (RFC 3629, 3). */
const SMALLEST = [0, 0, 0x80, 0x800, 0x1_0000];

function decodeUtf8(bytes: Uint8Array, start: number, end: number): string | undefined {
  const parts: string[] = [];
  let at = start;
  while (at < end) {
    const first = bytes[at]!;
    const size =
      first < 0x80 ? 1 : first < 0xc2 ? 0 : first < 0xe0 ? 2 : first < 0xf0 ? 3 : first < 0xf5 ? 4 : 0;
    if (size === 0 || at + size > end) return undefined;
    let code = size === 1 ? first : first & (0x7f >> size);
    for (let i = 1; i < size; i += 1) {
      const next = bytes[at + i]!;
      if ((next & 0xc0) !== 0x80) return undefined;
      code = (code << 6) | (next & 0x3f);
    }
    const isSurrogate = code >= 0xd800 && code <= 0xdfff;
    if (code < SMALLEST[size]! || code > 0x10_ffff || isSurrogate) return undefined;
    parts.push(String.fromCodePoint(code));
    at += size;
  }
  return parts.join('');
}

function decodeLatin1(bytes: Uint8Array, start: number, end: number): string {
  const parts: string[] = [];
  for (let at = start; at < end; at += 1) parts.push(String.fromCharCode(bytes[at]!));
  return parts.join('');
}
