/** First row of a list to show, so that the chosen one is in sight. */
export function firstRow(chosen: number, rows: number, count: number): number {
  const centred = Math.max(0, chosen) - Math.floor(rows / 2);
  return Math.max(0, Math.min(centred, count - rows));
}
