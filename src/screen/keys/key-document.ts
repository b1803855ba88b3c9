import type { ActionName } from '../actions/actions.ts';
import { POINTER_TABLE } from '../pointer/pointed.ts';
import { FIGURE_TABLE } from '../theme/figure-table.ts';
import { glyphsFor } from '../theme/glyphs.ts';
import { SIGN_TABLE } from '../theme/sign-table.ts';
import { shownKey } from './help-lines.ts';
import type { KeyNeed } from './key-mode.ts';
import { KEY_GROUPS, KEY_TABLE, type KeyRow } from './key-table.ts';

const glyphs = glyphsFor(false);

/** Whether a row counts while an input is listened to. */
const WHILE_LISTENING: Readonly<Record<KeyNeed, string>> = {
  song: 'no',
  time: 'no',
  list: 'no',
  set: 'no',
  output: 'with `--thru`',
};

/** docs/keys.md, printed from the key table; a test holds the file to it. */
export function keyDocument(): string {
  const parts = [
    '# Keys and signs',
    '',
    'Printed from `src/screen/keys/key-table.ts` and `theme/sign-table.ts`, as the help overlay (`?`) is. N is a',
    'number typed before the key: `17g` goes to bar 17, `10m` mutes channel 10, `80t` plays at 80 % of the tempo.',
    '',
    'While an input is listened to (`wirepit listen`) there is no song, and without `--thru` nothing is sent on. The',
    'help then leaves out the keys that have no meaning; pressed all the same, they say so in one line and do',
    'nothing else.',
    '',
    'While a set is played (`wirepit show`) there is no list of songs, and `W` keeps what was changed for the song that is',
    'on. With `--unattended` visitors are at the keys: only those count that pause, go on and silence, and `ctrl-c` twice',
    'within two seconds ends the show. `wirepit watch` only looks, unless `--control` is given; `q` leaves it, and the show',
    'goes on.',
    '',
    'While another machine’s clock is followed (`--follow`, [follow.md](follow.md)) it says where the song is and how fast it',
    'goes: the keys that jump, stop, loop or change the tempo say so and do nothing else. Space lets the clock go on',
    'without the music, and joins it again where it has come to.',
    '',
    'Without a screen, `wirepit song.mid --plain` (and `show` with it) takes the same keys from the terminal: each is answered by one line in',
    'words, a view by a line of what it would show, and `?` by the keys needed first. Standard input must be the',
    'terminal, and the program in front.',
  ];
  for (const group of KEY_GROUPS) {
    parts.push('', `## ${group}`, '', '| key | what it does | while listening |', '| --- | --- | --- |');
    for (const row of KEY_TABLE) if (row.group === group) parts.push(keyLine(row));
  }
  parts.push('', '## Signs', '', '| sign | meaning |', '| --- | --- |');
  for (const { sign, meaning } of SIGN_TABLE) parts.push(`| \`${sign(glyphs)}\` | ${meaning} |`);
  parts.push('', '## Figures', '', '| figure | meaning |', '| --- | --- |');
  for (const { figure, meaning } of FIGURE_TABLE) parts.push(`| ${figure} | ${meaning} |`);
  parts.push(
    '',
    '## Mouse',
    '',
    'With `--mouse` the terminal reports clicks and the wheel; it is off by default, since the terminal then no',
    'longer selects text by itself (many do with Shift held: common practice, no source). A click presses a key of',
    'the tables above, with its number.',
    '',
    '| click on | what it does | as |',
    '| --- | --- | --- |',
    ...POINTER_TABLE.map(([where, what, action]) => `| ${where} | ${what} | ${keyOf(action)} |`),
    '| wheel | lane by lane; in lists row by row | `↑` `↓` |',
  );
  return `${parts.join('\n')}\n`;
}

function keyOf(action: ActionName): string {
  const row = KEY_TABLE.find((each) => each.action === action)!;
  return `N \`${shownKey(row.keys[0]!, glyphs)}\``;
}

function keyLine({ keys, help, helpUnheard, needs }: KeyRow): string {
  const key = shownKey(keys[0]!, glyphs);
  const unheard = helpUnheard === undefined ? 'yes' : `yes; without \`--thru\`: ${helpUnheard}`;
  return `| \`${key === '|' ? '\\|' : key}\` | ${help} | ${needs === undefined ? unheard : WHILE_LISTENING[needs]} |`;
}
