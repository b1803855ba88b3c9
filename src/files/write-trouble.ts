const WORDS: Readonly<Record<string, string>> = {
  ENOSPC: 'the disk is full',
  EDQUOT: 'the disk quota is used up',
  EFBIG: 'a file may not grow any further here',
  EIO: 'the disk reports an error',
  EROFS: 'the disk can only be read',
};

/** Why something cannot be written, from the system's error code (errno(3)), as a clause without a full stop. */
export function writeTrouble(code: string | undefined): string {
  return WORDS[code ?? ''] ?? `it cannot be written (${code})`;
}
