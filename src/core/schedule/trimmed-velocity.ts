/** A velocity with its trim; it stays a note-on (velocity 0 would be a note-off, MIDI 1.0, Table I). */
export function trimmedVelocity(velocity: number, trim: number): number {
  const trimmed = velocity + trim;
  if (trimmed < 1) return 1;
  return Math.min(trimmed, 127);
}
