/**
 * How long leaving may take (milliseconds), whatever a port does: a flood of notes that were never released wants as
 * much of the wire as it took, since two strikes want two note-offs (MIDI 1.0, p. A-4). What one hears goes first.
 */
export const LONGEST_LEAVE_MS = 15_000;
