import type { CommandOutline } from './command-outline.ts';
import { valueWords } from './value-words.ts';

/**
 * A completion for bash (its manual, "Programmable Completion"; version 4 or later). A port with a colon in it comes
 * in three words (COMP_WORDBREAKS), so what follows a lone colon is completed as a file.
 */
export function bashCompletion(commands: readonly CommandOutline[]): string {
  const names = commands.map(({ name }) => name);
  const values = commands.flatMap((command) =>
    command.rows.flatMap((row) => {
      const value = valueWords(row);
      if (value === undefined) return [];
      const flags = [`--${row.name}`, ...(row.short === undefined ? [] : [`-${row.short}`])];
      const pattern = flags.map((flag) => `${command.name}:${flag}`).join(' | ');
      return [`    ${pattern}) words=${quoted(value.words)} paths=${value.paths} ;;`];
    }),
  );
  const lists = commands.map((command) => {
    const flags = command.rows.flatMap(({ name, short }) => [
      `--${name}`,
      ...(short === undefined ? [] : [`-${short}`]),
    ]);
    return `      ${command.name}) words=${quoted([...flags, '--help'])} ;;`;
  });
  const operands = commands.flatMap(({ name, operandChoices, operands }) => {
    if (operandChoices.length > 0) return [`      ${name}) words=${quoted(operandChoices)} paths=none ;;`];
    return operands === '' ? [`      ${name}) paths=none ;;`] : [];
  });
  return `# wirepit, for bash: put this line into ~/.bashrc
#   eval "$(wirepit completion bash)"
_wirepit() {
  local cur=\${COMP_WORDS[COMP_CWORD]} prev=\${COMP_WORDS[COMP_CWORD - 1]}
  local command=play words='' paths=files match
  if ((COMP_CWORD > 1)); then
    case \${COMP_WORDS[1]} in ${names.join(' | ')}) command=\${COMP_WORDS[1]} ;; esac
  fi
  # --name=value comes in three words too.
  [[ $cur == '=' ]] && cur=''
  [[ $prev == '=' ]] && prev=\${COMP_WORDS[COMP_CWORD - 2]}
  case $command:$prev in
${values.join('\n')}
    *:':') ;;
    *)
      if [[ $cur == -* ]]; then
        paths=none
        case $command in
${lists.join('\n')}
        esac
      else
        case $command in
${operands.join('\n')}
        esac
        ((COMP_CWORD == 1)) && words=${quoted(names)} paths=files
      fi
      ;;
  esac
  COMPREPLY=()
  while IFS= read -r match; do COMPREPLY+=("$match"); done < <(
    compgen -W "$words" -- "$cur"
    case $paths in files) compgen -f -- "$cur" ;; folders) compgen -d -- "$cur" ;; esac
  )
  compopt -o filenames 2>/dev/null
  # After serial: the place of the device is still to be written.
  [[ \${#COMPREPLY[@]} == 1 && \${COMPREPLY[0]} == *: ]] && compopt -o nospace +o filenames 2>/dev/null
  return 0
}
complete -F _wirepit wirepit
`;
}

function quoted(words: readonly string[]): string {
  return `'${words.join(' ')}'`;
}
