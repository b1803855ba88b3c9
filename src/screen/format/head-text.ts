import { cutText } from '../cells/cut-text.ts';

/** The beginning of a text that is too wide, as `cutText` has it, before a sign that something is left out. */
export function headText(text: string, width: number, ellipsis: string): string {
  const cut = cutText(text, width);
  return cut === text || cut === '' ? cut : cut.slice(0, -1) + ellipsis;
}
