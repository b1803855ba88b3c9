import { execFileSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

/** Tests that run the program run what the sources say now. */
export default function buildFirst(): void {
  const script = fileURLToPath(new URL('../../scripts/build.mjs', import.meta.url));
  execFileSync(process.execPath, [script, '--if-stale'], { stdio: 'inherit' });
}
