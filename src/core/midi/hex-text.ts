/** [256] each byte as people write it: two digits, capitals. */
const HEX: readonly string[] = Array.from({ length: 256 }, (_, byte) =>
  byte.toString(16).toUpperCase().padStart(2, '0'),
);

/** Bytes as `90 3C 40`. */
export function hexText(bytes: Iterable<number>): string {
  return Array.from(bytes, (byte) => HEX[byte]).join(' ');
}
