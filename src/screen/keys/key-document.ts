import { helpLines } from '../dialogs/help-lines.ts';
import { glyphsFor } from '../theme/glyphs.ts';

/** docs/keys.md, printed from the key table; a test holds the file to it. */
export function keyDocument(): string {
  const parts = [
    '# Keys and signs',
    '',
    'Printed from `src/screen/keys/key-table.ts` and `theme/sign-table.ts`, as the help overlay (`?`) is. N is a',
    'number typed before the key: `17g` goes to bar 17, `10m` mutes channel 10, `80t` plays at 80 % of the tempo.',
  ];
  for (const line of helpLines(glyphsFor(false))) {
    if (line.isHeading)
      parts.push(
        '',
        `## ${line.text}`,
        '',
        line.text === 'Signs' ? '| sign | meaning |' : '| key | what it does |',
        '| --- | --- |',
      );
    else parts.push(`| \`${line.key === '|' ? '\\|' : line.key}\` | ${line.text} |`);
  }
  return `${parts.join('\n')}\n`;
}
