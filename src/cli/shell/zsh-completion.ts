import type { OptionRow } from '../options/option-row.ts';
import type { CommandOutline } from './command-outline.ts';
import { valueWords } from './value-words.ts';

/** A completion for zsh (its manual, "Completion System": `_arguments`, `_describe`). */
export function zshCompletion(commands: readonly CommandOutline[]): string {
  const names = commands.map(({ name, about }) => `    ${quoted(`${name}:${about}`)}`);
  const cases = commands.map((command) => {
    const specs = [...command.rows.map(specOf), "'--help[what there is]'", ...operandOf(command)];
    return `    ${command.name})\n      _arguments -s ${specs.join(' \\\n        ')}\n      ;;`;
  });
  return `#compdef wirepit
# wirepit, for zsh: put this line into ~/.zshrc, after compinit
#   eval "$(wirepit completion zsh)"
_wirepit() {
  local -a commands=(
${names.join('\n')}
  )
  local command=play
  if (( CURRENT == 2 )) && [[ $words[2] != -* ]]; then
    _describe command commands
    _files
    return
  fi
  if (( \${commands[(I)\${words[2]}:*]} )); then
    command=$words[2]
    shift words
    (( CURRENT -= 1 ))
  fi
  case $command in
${cases.join('\n')}
  esac
}
compdef _wirepit wirepit
`;
}

function operandOf({ operands, operandChoices }: CommandOutline): string[] {
  if (operandChoices.length > 0) return [quoted(`1:word:(${operandChoices.join(' ')})`)];
  return operands === '' ? [] : ["'*:file:_files'"];
}

function specOf(row: OptionRow): string {
  const many = row.kind === 'texts' ? '*' : '';
  const about = `[${row.about.replace(/[[\]\\:]/g, '\\$&')}]`;
  const value = valueWords(row);
  const action =
    value === undefined ? '' : `:${row.value!.replaceAll(':', '\\:')}:${actionOf(value.words, value.paths)}`;
  // One that has a letter too stands twice, and neither is offered after the other, unless it may come often.
  if (row.short === undefined) return quoted(`${many}--${row.name}${about}${action}`);
  const apart = many === '' ? quoted(`(-${row.short} --${row.name})`) : "'*'";
  return `${apart}{-${row.short},--${row.name}}${quoted(`${about}${action}`)}`;
}

function actionOf(words: readonly string[], paths: string): string {
  if (paths === 'folders') return '_files -/';
  if (words.length === 0) return paths === 'files' ? '_files' : ' ';
  if (paths === 'none') return `(${words.join(' ')})`;
  return `{compadd -S "" -- ${words.join(' ')}; _files}`;
}

function quoted(text: string): string {
  return `'${text.replaceAll("'", "'\\''")}'`;
}
