import { statSync } from 'node:fs';
import { diskPath } from '../../files/disk-path.ts';
import { inputPath } from '../../ports/input-path.ts';
import { portNamed } from '../../ports/port-named.ts';
import { Refusal } from '../../trouble/refusal.ts';

/** The output that is the same as an input, as it was named; undefined where there is none. */
export function outputThatIs(input: string, ports: readonly string[]): string | undefined {
  return ports.map((text) => text.replace(/^[A-Za-z][A-Za-z0-9]*=/, '')).find((out) => out === input);
}

/** @throws Refusal where what is sent would come in again: a FIFO has no direction */
export function refuseEcho(input: string, ports: readonly string[]): void {
  const both = outputThatIs(input, ports);
  if (both === undefined || portNamed(input)?.kind.name !== 'raw' || !isFifo(inputPath(input))) return;
  throw new Refusal(
    'what is sent there would be read here again',
    both,
    'read from one FIFO and send to another',
  );
}

function isFifo(path: string): boolean {
  return statSync(diskPath(path), { throwIfNoEntry: false })?.isFIFO() ?? false;
}
