import type { Command } from 'commander';
import { optionsOf } from './add-options.ts';
import { attributeOf } from './attribute-of.ts';
import type { CommandName, OptionRow } from './option-row.ts';

/** What the parser says of a value that was typed; what a settings file says is read again by whoever starts. */
const TYPED = 'cli';

/**
 * The options that were typed, as words that mean the same when they are typed again.
 * @param but names of options that are left out
 */
export function typedOptions(command: Command, but: readonly string[]): string[] {
  return optionsOf(command.name() as CommandName).flatMap((row) => {
    const attribute = attributeOf(row.name);
    if (but.includes(row.name) || command.getOptionValueSource(attribute) !== TYPED) return [];
    return wordsOf(row, command.getOptionValue(attribute));
  });
}

function wordsOf({ name, kind }: OptionRow, value: unknown): string[] {
  const option = `--${name}`;
  const undone = name.startsWith('no-') ? `--${name.slice('no-'.length)}` : `--no-${name}`;
  if (kind === 'switch') return [value === name.startsWith('no-') ? undone : option];
  if (value === undefined) return [undone];
  const values = Array.isArray(value) ? value : [value];
  return values.length === 0 ? [undone] : values.flatMap((each) => [option, String(each)]);
}
