import { inkScreen } from './ink-frame/ink-screen.ts';
import { type RunScreenOptions, runScreen } from './run-screen.tsx';
import type { ScreenOutcome } from './state/screen-state.ts';
import type { TerminalScreen } from './terminal/terminal-screen.ts';

export interface InkStage {
  /** As `runScreen` does, on this terminal; once for each song. */
  run(options: Omit<RunScreenOptions, 'screen'>): Promise<ScreenOutcome>;
  close(): void;
}

/** All that needs Ink and React, behind one import that can be made late. */
export function inkStage(terminal: TerminalScreen): InkStage {
  const screen = inkScreen(terminal);
  return {
    run: (options) => runScreen({ ...options, screen }),
    close: () => screen.close(),
  };
}
