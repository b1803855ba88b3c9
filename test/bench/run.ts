/**
 * `npm run bench` runs every bench; `npm run bench -- load wire` runs those named. A bench is a module beside
 * this one that exports `run()`: it prints a table and its goal lines and leaves its figures in bench-results/.
 */
import { existsSync } from 'node:fs';

const BENCHES = [
  'load',
  'timing',
  'wire',
  'screen',
  'ports',
  'instrument',
  'hostile',
  'compare',
  'loop',
  'follow',
  'watch',
  'show',
  'hour',
  'thru',
  'fit',
  'prepare',
  'network',
] as const;

// Nobody's own settings change what is measured.
process.env.WIREPIT_CONFIG = 'off';

const asked = process.argv.slice(2);
const unknown = asked.filter((name) => !BENCHES.some((bench) => bench === name));
if (unknown.length > 0) {
  process.stderr.write(`no bench called ${unknown.join(', ')}; there are ${BENCHES.join(', ')}\n`);
  process.exit(2);
}

let failed = false;
for (const name of asked.length > 0 ? asked : BENCHES) {
  const file = new URL(`./${name}.ts`, import.meta.url);
  process.stdout.write(`\n== ${name}\n`);
  if (!existsSync(file)) {
    process.stdout.write(`not written yet: test/bench/${name}.ts\n`);
    failed ||= asked.length > 0;
    continue;
  }
  try {
    const bench = (await import(file.href)) as { run(): Promise<void> };
    await bench.run();
  } catch (error) {
    failed = true;
    process.stdout.write(`bench ${name} broke: ${error instanceof Error ? error.stack : String(error)}\n`);
  }
}
process.exit(failed ? 1 : 0);
