export type Align = 'left' | 'right';

/** Rows under their headings, two spaces apart, as lines without trailing blanks. */
export function columnsText(
  headings: readonly string[],
  aligns: readonly Align[],
  rows: readonly (readonly string[])[],
): string[] {
  const widths = headings.map((heading, column) =>
    rows.reduce((width, row) => Math.max(width, row[column]!.length), heading.length),
  );
  return [headings, ...rows].map((row) =>
    row
      .map((cell, column) =>
        aligns[column] === 'right' ? cell.padStart(widths[column]!) : cell.padEnd(widths[column]!),
      )
      .join('  ')
      .trimEnd(),
  );
}
