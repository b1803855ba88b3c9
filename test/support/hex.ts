/**
 * Annotated hex → bytes, so that a test can be read beside the specification. Two hex digits a byte, spaces
 * where they help; `--` or `//` begins a comment to the end of the line.
 */
export function hex(text: string): Uint8Array {
  const digits = text.replace(/(--|\/\/).*$/gm, '').replace(/\s+/g, '');
  if (digits.length % 2 !== 0 || /[^0-9a-fA-F]/.test(digits)) throw new Error(`not hex bytes: ${digits}`);
  return Uint8Array.from(digits.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
}

/** Bytes → `4D 54 68 64`, for readable comparisons: of millions of events, hence by a table. */
export function toHex(bytes: ArrayLike<number>): string {
  let text = '';
  for (let at = 0; at < bytes.length; at += 1) text += `${at === 0 ? '' : ' '}${PAIRS[bytes[at]!] ?? '??'}`;
  return text;
}

const PAIRS = Array.from({ length: 256 }, (_, byte) => byte.toString(16).toUpperCase().padStart(2, '0'));
