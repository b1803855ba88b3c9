const NARROWEST = 60;
const WIDEST = 110;

/** Cells of a page of text: those of the terminal, where they can be read well. */
export function pageWidth(): number {
  return Math.min(WIDEST, Math.max(NARROWEST, (process.stdout.columns ?? 81) - 1));
}
