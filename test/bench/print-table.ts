/** Prints rows under their headings; the first column flush left, figures flush right. */
export function printTable(
  headings: readonly string[],
  rows: readonly (readonly (string | number)[])[],
): void {
  const lines = [headings, ...rows].map((row) => row.map(String));
  const widths = headings.map((_, column) => Math.max(...lines.map((line) => line[column]?.length ?? 0)));
  for (const line of lines) {
    const cells = line.map((cell, column) =>
      column === 0 ? cell.padEnd(widths[column]!) : cell.padStart(widths[column]!),
    );
    process.stdout.write(`${cells.join('  ').trimEnd()}\n`);
  }
}
