import { textWidth } from '../cells/draw-text.ts';

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

function pieces(word: string, width: number): string[] {
  const cut = [''];
  for (const character of word) {
    if (cut.at(-1) !== '' && textWidth(cut.at(-1)! + character) > width) cut.push('');
    cut[cut.length - 1] += character;
  }
  return cut;
}
