import type { CommandName, OptionRow } from '../options/option-row.ts';
import { OPTION_TABLE } from '../options/option-table.ts';

/** An option that a settings file may name, for all the commands that take it. */
export interface HabitRow extends OptionRow {
  /** Its name in the file: `setup-first` for `--no-setup-first`. */
  readonly key: string;
}

/** Every option that may stand in a settings file, one row for each name, in the order of the table. */
export function habitRows(rows: readonly OptionRow[] = OPTION_TABLE): readonly HabitRow[] {
  const habits = new Map<string, HabitRow>();
  for (const row of rows) {
    if (row.habit !== true) continue;
    const key = row.name.replace(/^no-/, '');
    const commands = [...(habits.get(key)?.commands ?? []), ...row.commands];
    habits.set(key, { ...row, key, commands });
  }
  return [...habits.values()];
}

/** What holds where nobody says anything; undefined where that is nothing. */
export function usualOf({ name, kind, default: usual }: OptionRow): HabitValue | undefined {
  return kind === 'switch' ? name.startsWith('no-') : usual;
}

export type HabitValue = boolean | number | string | readonly string[];

export function takesHabits(command: string): boolean {
  return habitRows().some(({ commands }) => commands.includes(command as CommandName));
}
