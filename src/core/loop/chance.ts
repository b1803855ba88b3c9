/** Whole numbers from 0 up to but not `below`, the same from the same seed on every machine (xorshift, 32 bits). */
export function chance(seed: number): (below: number) => number {
  let state = Math.imul(seed + 1, 0x9e3779b1) | 1;
  return (below) => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return Math.floor(((state >>> 0) / 0x1_0000_0000) * below);
  };
}
