import type { Command } from 'commander';
import { addOptions } from '../options/add-options.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import { OPTION_GROUPS } from '../options/option-row.ts';
import { jsonText } from '../output/json-text.ts';
import { configPlace, isToBeRead } from './config-file.ts';
import { type HabitRow, type HabitValue, habitRows, usualOf } from './habit-rows.ts';
import type { Setting } from './read-config.ts';

/** `wirepit config`: what a person's settings file says, and what holds where it says nothing. */
export function registerConfig(program: Command): void {
  const config = program
    .command('config')
    .description('show the usual options: each with its value and where that comes from');
  addOptions(config, 'config').action((flags: FlagsOf<'config'>) => showConfig(flags));
}

async function showConfig({ json }: FlagsOf<'config'>): Promise<void> {
  const place = configPlace();
  const isRead = isToBeRead(place);
  const settings = isRead
    ? (await import('./read-config.ts')).readConfig(place.path)
    : new Map<string, Setting>();
  const path = place?.path;
  process.stdout.write(
    json
      ? `${jsonText(configDocument(path, isRead, settings), 2)}\n`
      : `${configPage(path, isRead, settings).join('\n')}\n`,
  );
}

/** A stable surface: docs/config.md. */
export interface ConfigDocument {
  readonly schema: 'wirepit-config/1';
  readonly file: string | null;
  readonly isRead: boolean;
  readonly options: readonly {
    readonly name: string;
    readonly value: HabitValue | null;
    readonly from: 'default' | 'file';
    readonly line: number | null;
    readonly commands: readonly string[];
  }[];
}

function configDocument(
  path: string | undefined,
  isRead: boolean,
  settings: ReadonlyMap<string, Setting>,
): ConfigDocument {
  return {
    schema: 'wirepit-config/1',
    file: path ?? null,
    isRead,
    options: habitRows().map((row) => {
      const setting = settings.get(row.key);
      return {
        name: row.key,
        value: setting?.value ?? usualOf(row) ?? null,
        from: setting === undefined ? 'default' : 'file',
        line: setting?.line ?? null,
        commands: row.commands,
      };
    }),
  };
}

function configPage(
  path: string | undefined,
  isRead: boolean,
  settings: ReadonlyMap<string, Setting>,
): string[] {
  const rows = habitRows();
  const width = Math.max(...rows.map(({ key }) => key.length));
  const values = new Map(rows.map((row) => [row.key, valueText(row, settings.get(row.key))]));
  const valueWidth = Math.max(...[...values.values()].map((text) => text.length));
  const lines = [headOf(path, isRead)];
  for (const [group, heading] of Object.entries(OPTION_GROUPS)) {
    const own = rows.filter((row) => row.group === group);
    if (own.length > 0) lines.push('', heading);
    for (const { key } of own) {
      const setting = settings.get(key);
      const from = setting === undefined ? 'default' : `line ${setting.line}`;
      lines.push(`  ${key.padEnd(width)}  ${values.get(key)!.padEnd(valueWidth)}  ${from}`);
    }
  }
  lines.push('', 'A line of the file: early = 2.5. The command line wins. More: docs/config.md');
  return lines;
}

function headOf(path: string | undefined, isRead: boolean): string {
  if (path === undefined) return 'No settings file is read: WIREPIT_CONFIG=off';
  return isRead ? `Settings file: ${path}` : `Settings file: ${path} (not there; write it as you like)`;
}

/** As the file has it, or in words where nothing is said. */
function valueText(row: HabitRow, setting: Setting | undefined): string {
  if (setting === undefined && row.defaultWords !== undefined) return row.defaultWords;
  const value = setting?.value ?? usualOf(row);
  if (value === undefined) return row.kind === 'switch' ? 'false' : 'none';
  const [only, second] = Array.isArray(value) ? value : [];
  return jsonText(only !== undefined && second === undefined ? only : value).replaceAll('","', '", "');
}
