/** Rows of F0 and F7, ascending, found by the runtime's own search: most songs have few among their many rows. */
export function payloadRows(status: Uint8Array): number[] {
  const rows: number[] = [];
  for (const kind of [0xf0, 0xf7]) {
    for (let row = status.indexOf(kind); row >= 0; row = status.indexOf(kind, row + 1)) rows.push(row);
  }
  return rows.sort((a, b) => a - b);
}
