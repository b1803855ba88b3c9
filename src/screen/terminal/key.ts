/**
 * One key press. `name` is what key tables use: a printable character is its own name ('m', 'M', '7', '+', 'é'),
 * the others are words with prefixes in this order: 'ctrl-', 'alt-', 'shift-' ('ctrl-c', 'alt-x', 'shift-up').
 * Words: up down left right home end page-up page-down insert delete backspace enter tab escape space f1 … f12.
 * What a terminal cannot tell apart has one name: Ctrl-I is 'tab', Ctrl-M is 'enter', Ctrl-H is 'backspace',
 * Ctrl-J is 'ctrl-j'.
 */
export interface Key {
  readonly name: string;
  /** What the key would type into a text field; empty for the others. */
  readonly text: string;
}

/** A key by its name, as tests and key tables write it. */
export function keyNamed(name: string): Key {
  if (name === 'space') return { name, text: ' ' };
  return { name, text: [...name].length === 1 ? name : '' };
}
