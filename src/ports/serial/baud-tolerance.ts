/** True when a UART that makes `made` baud can talk to one of `asked`: MIDI 1.0 (p. 1) allows 1 %. */
export function isBaudClose(made: number, asked: number): boolean {
  return Math.abs(made - asked) <= asked / 100;
}
