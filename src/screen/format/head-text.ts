import { textWidth } from '../cells/draw-text.ts';

/** The beginning of a text that is too wide, before a sign that something is left out. */
export function headText(text: string, width: number, ellipsis: string): string {
  if (textWidth(text) <= width) return text;
  const room = width - textWidth(ellipsis);
  let head = '';
  let used = 0;
  for (const character of text) {
    used += textWidth(character);
    if (used > room) break;
    head += character;
  }
  return head + ellipsis;
}
