import { textWidth } from '../cells/draw-text.ts';

const DIGIT = /\d/;

/** The end of a text that is too wide, behind a sign that something is left out: a path tells more at its end. */
export function tailText(text: string, width: number, ellipsis: string): string {
  if (textWidth(text) <= width) return text;
  const points = Array.from(text);
  let from = points.length;
  let used = textWidth(ellipsis);
  while (from > 0 && used + textWidth(points[from - 1]!) <= width) used += textWidth(points[--from]!);
  // The end of a number would be another number.
  if (from > 0 && DIGIT.test(points[from - 1]!)) while (DIGIT.test(points[from] ?? '')) from += 1;
  return ellipsis + points.slice(from).join('');
}
