import { textWidth } from '../cells/draw-text.ts';
import { numberAround } from '../cells/number-around.ts';

/** Words in lines of at most `width` columns; a word longer than a line (a path, say) is cut where it must be. */
export function wrappedLines(text: string, width: number): string[] {
  const lines: string[] = [];
  let used = Number.POSITIVE_INFINITY;
  for (const word of text.split(' ')) {
    used += 1 + textWidth(word);
    if (used <= width) {
      lines[lines.length - 1] += ` ${word}`;
      continue;
    }
    const parts = pieces(word, width);
    lines.push(...parts);
    used = textWidth(parts.at(-1)!);
  }
  return lines;
}

/** No number is parted that a line can hold. */
function pieces(word: string, width: number): string[] {
  const cut: string[] = [];
  let from = 0;
  let at = 0;
  let used = 0;
  for (const character of word) {
    used += textWidth(character);
    if (used > width && at > from) {
      const number = numberAround(word, at);
      const until = number !== undefined && number.from > from ? number.from : at;
      cut.push(word.slice(from, until));
      from = until;
      used = textWidth(word.slice(from, at + character.length));
    }
    at += character.length;
  }
  return [...cut, word.slice(from)];
}
