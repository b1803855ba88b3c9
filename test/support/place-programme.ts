import type { PlaceProblem } from '../../src/core/arrange/fit/place-problem.ts';

/**
 * The same question as a linear programme in the text form that `highs` reads: a share of each piece, no more of a
 * piece than of the one before it, no more in all than there are places. Shares nothing with the flow.
 */
export function placeProgramme({ points, places, first, pieceStart, value }: PlaceProblem): string {
  const at: string[][] = Array.from({ length: points }, () => []);
  const gain: string[] = [];
  const bounds: string[] = [];
  const order: string[] = [];
  for (let chain = 0; chain < first.length; chain += 1) {
    for (let piece = pieceStart[chain]!; piece < pieceStart[chain + 1]!; piece += 1) {
      gain.push(`${value[piece]!.toFixed(12)} x${piece}`);
      bounds.push(` 0 <= x${piece} <= 1`);
      at[first[chain]! + piece - pieceStart[chain]!]!.push(`x${piece}`);
      if (piece > pieceStart[chain]!) order.push(` o${piece}: x${piece} - x${piece - 1} <= 0`);
    }
  }
  const room = at.flatMap((names, point) =>
    names.length > 0 ? [` p${point}: ${inLines(names, ' + ')} <= ${places}`] : [],
  );
  return [
    'Maximize',
    ` all: ${inLines(gain, ' + ')}`,
    'Subject To',
    ...room,
    ...order,
    'Bounds',
    ...bounds,
    'End',
  ].join('\n');
}

/** The format has a longest line. */
function inLines(terms: readonly string[], sign: string): string {
  const lines: string[] = [];
  for (let from = 0; from < terms.length; from += 8) lines.push(terms.slice(from, from + 8).join(sign));
  return lines.join(`\n${sign.trim()} `);
}

/** What is kept is worth. */
export function keptValue({ pieceStart, value }: PlaceProblem, kept: ArrayLike<number>): number {
  let sum = 0;
  for (let chain = 0; chain < kept.length; chain += 1) {
    for (let step = 0; step < kept[chain]!; step += 1) sum += value[pieceStart[chain]! + step]!;
  }
  return sum;
}
