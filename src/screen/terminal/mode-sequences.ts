/**
 * How a terminal is taken over and given back: DEC private modes as xterm's control-sequence documentation
 * lists them. 1049 alternate screen with the cursor saved, 25 cursor shown, 7 automatic wrap, 2004 bracketed
 * paste, 2026 synchronized output.
 */
export const TAKE_OVER = '\u001b[?1049h\u001b[?25l\u001b[?7l\u001b[?2004h';

/** Colours off first, so that the shell's screen is not filled with ours. */
export const GIVE_BACK = '\u001b[m\u001b[?2004l\u001b[?7h\u001b[?1049l\u001b[?25h';

/** Presses and the wheel are reported (1000), in decimal numbers without a limit to the right (1006). */
export const MOUSE_ON = '\u001b[?1000h\u001b[?1006h';
export const MOUSE_OFF = '\u001b[?1006l\u001b[?1000l';

/** "Are you there?" (DSR 5); a terminal in order answers ESC [ 0 n. */
export const ASK_READY = '\u001b[5n';
export const READY_LETTERS = 'n';

/** "Do you know synchronized output?" (DECRQM); the answer is ESC [ ? 2026 ; state $ y, state 0 for no. */
export const ASK_SYNCHRONIZED = '\u001b[?2026$p';
export const MODE_LETTERS = '$y';
export const SYNCHRONIZED_MODE = 2026;

/** Everything between appears at once. Sixteen bytes a frame: worth it for large frames only. */
export const BEGIN_SYNCHRONIZED = '\u001b[?2026h';
export const END_SYNCHRONIZED = '\u001b[?2026l';
