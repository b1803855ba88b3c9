import type { PartPiece, ServedPieces } from '../../src/core/arrange/fit/part-flow.ts';

/** Pieces of several parts, in order of time. @param below a chance below a limit */
export function randomPieces(below: (limit: number) => number, parts: number): PartPiece[] {
  const pieces: PartPiece[] = [];
  for (let part = 0; part < parts; part += 1) {
    for (let time = below(20); time < 70; ) {
      const until = time + 1 + below(20);
      pieces.push({ part, from: time, until, worth: 1 + below(9) });
      time = until + below(15);
    }
  }
  return pieces.sort((a, b) => a.from - b.from);
}

/**
 * The question of `servedPieces` as a linear programme: each served piece comes after one other, or begins a place's
 * way. Shares nothing with the flow.
 */
export function partProgramme(
  pieces: readonly PartPiece[],
  places: number,
  rest: number,
  setUp: number,
): string {
  const gain: string[] = [];
  const rows: string[] = [];
  const into = pieces.map((_, at) => [`s${at}`]);
  const out: string[][] = pieces.map(() => []);
  for (const [at, { worth }] of pieces.entries()) gain.push(`+ ${worth} x${at}`, `- ${setUp} s${at}`);
  for (const [a, one] of pieces.entries()) {
    const next = pieces.findIndex((other, b) => b > a && other.part === one.part);
    for (const [b, other] of pieces.entries()) {
      const isRested = other.from - rest >= one.until;
      if (!isRested && b !== next) continue;
      if (b !== next) gain.push(`- ${setUp} y${a}_${b}`);
      into[b]!.push(`y${a}_${b}`);
      out[a]!.push(`y${a}_${b}`);
    }
  }
  for (const at of pieces.keys()) {
    rows.push(` i${at}: ${into[at]!.join(' + ')} - x${at} = 0`);
    if (out[at]!.length > 0) rows.push(` o${at}: ${out[at]!.join(' + ')} - x${at} <= 0`);
  }
  rows.push(` p: ${pieces.map((_, at) => `s${at}`).join(' + ')} <= ${places}`);
  const bounds = pieces.map((_, at) => ` 0 <= x${at} <= 1`);
  const lines = (terms: readonly string[]) => terms.join('\n ');
  return ['Maximize', ` all: ${lines(gain)}`, 'Subject To', ...rows, 'Bounds', ...bounds, 'End'].join('\n');
}

/** What is served is worth, less what setting up costs. */
export function servedWorth(
  pieces: readonly PartPiece[],
  { isServed, goesOn }: ServedPieces,
  setUp: number,
): number {
  return pieces.reduce(
    (sum, { worth }, at) => sum + (isServed[at] ? worth - (goesOn[at] ? 0 : setUp) : 0),
    0,
  );
}
