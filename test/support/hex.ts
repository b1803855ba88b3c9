/**
 * Annotated hex → bytes, so that a test can be read beside the specification. Two hex digits a byte, spaces
 * where they help; `--` or `//` begins a comment to the end of the line.
 */
export function hex(text: string): Uint8Array {
  const digits = text.replace(/(--|\/\/).*$/gm, '').replace(/\s+/g, '');
  if (digits.length % 2 !== 0 || /[^0-9a-fA-F]/.test(digits)) throw new Error(`not hex bytes: ${digits}`);
  return Uint8Array.from(digits.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
}

/** Bytes → `4D 54 68 64`, for readable comparisons. */
export function toHex(bytes: Iterable<number>): string {
  return Array.from(bytes, (byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join(' ');
}
