import { mkdirSync, writeFileSync } from 'node:fs';
import { cpus, release, totalmem } from 'node:os';

/** Writes a bench's figures, with the machine they were taken on, to `bench-results/<name>.json`. */
export function recordBench(name: string, figures: Readonly<Record<string, unknown>>): void {
  mkdirSync('bench-results', { recursive: true });
  const machine = {
    processor: cpus()[0]?.model ?? 'unknown',
    cores: cpus().length,
    memoryMb: Math.round(totalmem() / 1e6),
    node: process.version,
    kernel: release(),
  };
  const record = { bench: name, taken: new Date().toISOString(), machine, ...figures };
  writeFileSync(`bench-results/${name}.json`, `${JSON.stringify(record, undefined, 2)}\n`);
}
