/**
 * A path as the system gives it (bytes) → text. A name on disk need not be UTF-8 (POSIX.1, 3.170: any byte but 0 and
 * the slash): each byte that is none becomes U+DC00 + byte, half of a surrogate pair, which no text has by itself. So
 * such a path travels as text like any other; `diskPath` is the way back, and `cleanText` shows it.
 */
export function pathText(bytes: Uint8Array): string {
  const name = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length);
  const text = name.toString('utf8');
  if (!text.includes('\ufffd')) return text;
  let path = '';
  for (let at = 0; at < name.length; ) {
    const length = lengthOfLetter(name, at);
    path += length > 0 ? name.toString('utf8', at, at + length) : String.fromCharCode(0xdc00 + name[at]!);
    at += Math.max(1, length);
  }
  return path;
}

/** Bytes of the UTF-8 letter that begins here; 0 where none does. */
function lengthOfLetter(name: Buffer, at: number): number {
  for (let length = 1; length <= 4 && at + length <= name.length; length += 1) {
    const letter = name.subarray(at, at + length);
    if (Buffer.from(letter.toString('utf8')).equals(letter)) return length;
  }
  return 0;
}
