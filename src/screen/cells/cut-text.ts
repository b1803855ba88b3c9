import { cellWidth } from './cell-width.ts';
import { numberAround } from './number-around.ts';

/** Where less fits, every cut ends in it; `--ascii` shows its stand-in. */
const ELLIPSIS = '\u2026';

/**
 * What of a text `width` columns can show: all of it, or its beginning and an ellipsis. A number is shown whole or
 * not at all: the head of one would be another number.
 */
export function cutText(text: string, width: number): string {
  let head = 0;
  let used = 0;
  for (let at = 0; at < text.length; at += 1) {
    const from = at;
    const codePoint = text.codePointAt(at)!;
    if (codePoint > 0xffff) at += 1;
    used += cellWidth(codePoint);
    if (used > width)
      return width < 1 ? '' : `${text.slice(0, numberAround(text, head)?.from ?? head).trimEnd()}${ELLIPSIS}`;
    if (used < width) head = from + (codePoint > 0xffff ? 2 : 1);
  }
  return text;
}
