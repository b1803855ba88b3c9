import { textWidth } from '../cells/draw-text.ts';
import { numberAround } from '../cells/number-around.ts';

/** The end of a text that is too wide, behind a sign that something is left out: a path tells more at its end. */
export function tailText(text: string, width: number, ellipsis: string): string {
  if (textWidth(text) <= width) return text;
  const points = Array.from(text);
  let from = points.length;
  let used = textWidth(ellipsis);
  while (from > 0 && used + textWidth(points[from - 1]!) <= width) used += textWidth(points[--from]!);
  // The end of a number would be another number.
  const place = points.slice(0, from).join('').length;
  return ellipsis + text.slice(numberAround(text, place)?.to ?? place);
}
