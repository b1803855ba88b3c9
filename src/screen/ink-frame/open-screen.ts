import { type TerminalEvents, type TerminalOptions, TerminalScreen } from '../terminal/terminal-screen.ts';
import { type InkScreenOptions, inkScreen, type Screen } from './ink-screen.ts';

export interface ScreenOptions extends TerminalOptions, TerminalEvents, InkScreenOptions {}

/** Takes the terminal, with Ink on it from the beginning. */
export function openScreen(options: ScreenOptions): Screen {
  const terminal = new TerminalScreen(options, options);
  const screen = inkScreen(terminal, options);
  terminal.open();
  return screen;
}
