/** Words in lines of at most `width` columns, for plain ASCII; a word longer than a line is cut. */
export function wrappedLines(text: string, width: number): string[] {
  const lines: string[] = [];
  for (const word of text.split(' ')) {
    const longer = lines.length === 0 ? word : `${lines.at(-1)} ${word}`;
    if (lines.length > 0 && longer.length <= width) lines[lines.length - 1] = longer;
    else for (let at = 0; at < word.length; at += width) lines.push(word.slice(at, at + width));
  }
  return lines;
}
