import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, onTestFinished } from 'vitest';

/**
 * A fresh temporary folder that is taken away by itself: called in a test (or its `beforeEach`) at the end of that
 * test, called where tests are written down at the end of all of them. A run that leaves one fails.
 * @param purpose stands in its name, to be found by
 */
export function tempFolder(purpose: string): string {
  const folder = mkdtempSync(join(tmpdir(), `${purpose}-`));
  const remove = () => rmSync(folder, { recursive: true, force: true });
  try {
    onTestFinished(remove);
  } catch {
    afterAll(remove); // no test is running: the tests are being collected
  }
  return folder;
}
