/** Half of a surrogate pair that stands for a byte: see `pathText`. */
const BYTE = /[\udc80-\udcff]/u;

/** A path as text (`pathText`) → what the file system is to be asked for. Every path goes through this on its way to a disk. */
export function diskPath(path: string): string | Buffer {
  if (!BYTE.test(path)) return path;
  const parts: Buffer[] = [];
  for (const letter of path) {
    parts.push(BYTE.test(letter) ? Buffer.of(letter.charCodeAt(0) & 0xff) : Buffer.from(letter));
  }
  return Buffer.concat(parts);
}
