import { type Command, InvalidArgumentError, Option } from 'commander';
import { channelsArgument } from './channel-list.ts';
import { type CommandName, OPTION_GROUPS, type OptionKind, type OptionRow } from './option-row.ts';
import { OPTION_TABLE } from './option-table.ts';

type Reader = (text: string, before: unknown) => unknown;

/** How what was written becomes a value. A `choice` is the parser's own matter; texts and switches stay. */
const READERS: Readonly<Partial<Record<OptionKind, (row: OptionRow) => Reader>>> = {
  texts: () => (text, before) => [...(before as readonly string[]), text],
  number: (row) => (text) => between(text, row),
  whole: (row) => (text) => {
    const value = between(text, row, 'a whole number');
    if (!Number.isInteger(value)) throw new InvalidArgumentError('Write a whole number.');
    return value;
  },
  seconds: () => (text) => {
    const value = Number(text);
    if (!(value > 0 && value < 1e7)) throw new InvalidArgumentError('Write a number of seconds above 0.');
    return value;
  },
  channels: () => channelsArgument,
};

/** Gives a command the options that the table has for it; its action gets `FlagsOf<name>`. */
export function addOptions(command: Command, name: CommandName): Command {
  const rows = optionsOf(name);
  for (const [group, heading] of Object.entries(OPTION_GROUPS)) {
    for (const row of rows) if (row.group === group) command.addOption(optionOf(row).helpGroup(heading));
  }
  // What a settings file says can be put back for once.
  for (const row of rows) if (row.habit === true) command.addOption(new Option(undoneBy(row)).hideHelp());
  return command;
}

export function optionsOf(name: CommandName): readonly OptionRow[] {
  return OPTION_TABLE.filter(({ commands }: OptionRow) => commands.includes(name));
}

/** `--no-ascii` for `--ascii`, `--setup-first` for `--no-setup-first`. */
function undoneBy({ name }: OptionRow): string {
  return name.startsWith('no-') ? `--${name.slice('no-'.length)}` : `--no-${name}`;
}

function optionOf(row: OptionRow): Option {
  const short = row.short === undefined ? '' : `-${row.short}, `;
  const value = row.value === undefined ? '' : ` <${row.value}>`;
  const option = new Option(`${short}--${row.name}${value}`, row.about);
  const reader = READERS[row.kind];
  if (reader !== undefined) option.argParser(reader(row));
  if (row.choices !== undefined) option.choices(row.choices);
  if (row.default !== undefined) option.default(row.default, row.defaultWords);
  return row.hidden === true ? option.hideHelp() : option;
}

function between(text: string, { least = 0, most = 0 }: OptionRow, what = 'a number'): number {
  const value = Number(text);
  if (text.trim() === '' || !Number.isFinite(value) || value < least || value > most) {
    throw new InvalidArgumentError(`Write ${what} from ${least} to ${most}.`);
  }
  return value;
}
