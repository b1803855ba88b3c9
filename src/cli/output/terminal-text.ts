import { textWidth } from '../../screen/cells/draw-text.ts';
import { wrappedLines } from '../../screen/format/wrapped-lines.ts';

type Stream = Pick<NodeJS.WriteStream, 'isTTY' | 'columns'>;

/**
 * Lines as a terminal of that width shows them best: what is wider goes on below between words, set in by two. A pipe or a file
 * gets each line whole, and so does everybody a command line, which is there to be copied.
 */
export function forTerminal(text: string, { isTTY, columns }: Stream): string {
  if (!isTTY || !(columns >= NARROWEST)) return text;
  return text
    .split('\n')
    .flatMap((line) => broken(line, columns))
    .join('\n');
}

function broken(line: string, columns: number): string[] {
  const [, indent = '', rest = ''] = /^( *)(.*)$/s.exec(line) ?? [];
  if (textWidth(line) <= columns || rest.startsWith('wirepit ')) return [line];
  const hanging = `${indent}  `;
  const [first = '', ...others] = wrappedLines(rest, columns - hanging.length);
  return [`${indent}${first}`, ...others.map((each) => `${hanging}${each}`)];
}

/** Below it lines of words are nothing but breaks. */
const NARROWEST = 30;
