import { textWidth } from '../cells/draw-text.ts';
import { numberAround } from '../cells/number-around.ts';

/** Words in lines of at most `width` columns; a word longer than a line (a path, say) is cut where it must be. */
export function wrappedLines(text: string, width: number): string[] {
  const lines: string[] = [];
  for (const word of text.split(' ')) {
    const line = lines.at(-1);
    if (line !== undefined && textWidth(line) + 1 + textWidth(word) <= width) {
      lines[lines.length - 1] = `${line} ${word}`;
    } else lines.push(...pieces(word, width));
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
