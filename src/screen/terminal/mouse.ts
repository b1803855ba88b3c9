/** A press of a mouse button, or a notch of its wheel. */
export interface Mouse {
  readonly button: 'left' | 'right' | 'wheel-up' | 'wheel-down';
  /** Cell, from 0 at the top left. */
  readonly x: number;
  readonly y: number;
}

const BUTTONS: Readonly<Record<number, Mouse['button']>> = {
  0: 'left',
  2: 'right',
  64: 'wheel-up',
  65: 'wheel-down',
};

/** Shift 4, meta 8, control 16 do not matter here. */
const MODIFIERS = 4 | 8 | 16;

/**
 * The parameters of a mouse report, ESC [ < button ; column ; row M (xterm's control-sequence documentation, SGR
 * mode 1006; cells count from 1). Undefined for other buttons and for motion (32 added).
 */
export function mouseOf(parameters: readonly number[]): Mouse | undefined {
  const [code = -1, column = 0, row = 0] = parameters;
  const button = code < 0 ? undefined : BUTTONS[code & ~MODIFIERS];
  if (button === undefined || parameters.length !== 3 || column < 1 || row < 1) return undefined;
  return { button, x: column - 1, y: row - 1 };
}
