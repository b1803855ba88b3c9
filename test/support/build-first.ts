import { execFileSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { openTempRoot } from './temp-root.ts';

/** Before all tests: they run what the sources say now, in a temporary folder of their own. */
export default function buildFirst(): () => void {
  const script = fileURLToPath(new URL('../../scripts/build.mjs', import.meta.url));
  execFileSync(process.execPath, [script, '--if-stale'], { stdio: 'inherit' });
  return openTempRoot();
}
