import type { CommandOutline } from './command-outline.ts';
import { valueWords } from './value-words.ts';

/** A completion for fish (its documentation, `complete`). */
export function fishCompletion(commands: readonly CommandOutline[]): string {
  const others = commands.filter(({ name }) => name !== 'play').map(({ name }) => name);
  const lines = commands.map(
    ({ name, about }) => `complete -c wirepit -n __fish_use_subcommand -a ${name} -d ${quoted(about)}`,
  );
  for (const { name, rows, operands, operandChoices } of commands) {
    // What is no command is a song, and its options are those of play.
    const seen = `__fish_seen_subcommand_from ${name === 'play' ? others.join(' ') : name}`;
    const when = `complete -c wirepit -n ${quoted(name === 'play' ? `not ${seen}` : seen)}`;
    if (operandChoices.length > 0) lines.push(`${when} -f -a ${quoted(operandChoices.join(' '))}`);
    else if (operands === '') lines.push(`${when} -f`);
    for (const row of rows) {
      const value = valueWords(row);
      const short = row.short === undefined ? '' : ` -s ${row.short}`;
      lines.push(`${when}${short} -l ${row.name}${argumentOf(value)} -d ${quoted(row.about)}`);
    }
  }
  return `# wirepit, for fish: keep this as ~/.config/fish/completions/wirepit.fish
#   wirepit completion fish > ~/.config/fish/completions/wirepit.fish
${lines.join('\n')}
`;
}

function argumentOf(value: ReturnType<typeof valueWords>): string {
  if (value === undefined) return '';
  const { words, paths } = value;
  if (paths === 'folders') return " -x -a '(__fish_complete_directories)'";
  // -x: a value and no files; -r -F: a value, which may be a file.
  const how = paths === 'files' ? ' -r -F' : ' -x';
  return words.length === 0 ? how : `${how} -a ${quoted(words.join(' '))}`;
}

function quoted(text: string): string {
  return `'${text.replaceAll('\\', '\\\\').replaceAll("'", "\\'")}'`;
}
