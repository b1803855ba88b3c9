import type { Command } from 'commander';
import { optionsOf } from '../options/add-options.ts';
import type { CommandName, OptionRow } from '../options/option-row.ts';

/** A command as a shell or a man page has to know it. */
export interface CommandOutline {
  readonly name: string;
  readonly about: string;
  /** What is named after it, as in `[songs...]`; '' for nothing. */
  readonly operands: string;
  /** Words that may stand there, where it is one of a few; otherwise files are meant. */
  readonly operandChoices: readonly string[];
  /** Those of `--help`, in its order. */
  readonly rows: readonly OptionRow[];
}

/** Every command of the program, with its rows of the option table. */
export function commandOutlines(program: Command): readonly CommandOutline[] {
  return program.commands.map((command) => ({
    name: command.name(),
    about: command.description(),
    operands: command.registeredArguments
      .map((each) => {
        const name = each.variadic ? `${each.name()}...` : each.name();
        return each.required ? `<${name}>` : `[${name}]`;
      })
      .join(' '),
    operandChoices: command.registeredArguments.flatMap(({ argChoices }) => argChoices ?? []),
    rows: optionsOf(command.name() as CommandName).filter(({ hidden }) => hidden !== true),
  }));
}
