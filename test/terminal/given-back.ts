import { expect } from 'vitest';
import type { PtyRun } from '../support/pty-run.ts';

/** A shell that runs `"$@"` and tells the exit code, and whether the terminal's settings are as they were. */
export const SETTINGS_SHELL = `before=$(stty -g); "$@"; echo "code $?"
  if [ "$(stty -g)" = "$before" ]; then echo same settings; else echo other settings; fi; sleep 60`;

/** Waits until the program under `SETTINGS_SHELL` is gone; then nothing of the terminal may be as it had it. */
export async function expectGivenBack(run: PtyRun, code: number): Promise<string> {
  const text = await run.untilText(/settings/);
  expect(text).toContain(`code ${code}`);
  expect(text).toContain('same settings');
  expect(run.terminal.isAlternateScreen).toBe(false);
  expect(run.terminal.isCursorHidden).toBe(false);
  expect(run.terminal.isWrapping).toBe(true);
  expect(run.terminal.isBracketedPaste).toBe(false);
  return text;
}
