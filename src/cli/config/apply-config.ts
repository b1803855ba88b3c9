import type { Command } from 'commander';
import { Refusal } from '../../trouble/refusal.ts';
import { optionsOf } from '../options/add-options.ts';
import { attributeOf } from '../options/attribute-of.ts';
import { fetchNamedInstruments } from '../options/instrument-names.ts';
import type { CommandName, OptionRow } from '../options/option-row.ts';
import { configPlace, isToBeRead } from './config-file.ts';
import { habitRows, takesHabits } from './habit-rows.ts';

/** What commander calls the places a value comes from; `config` is a word it has for files. */
const FROM_FILE = 'config';

/**
 * Lays a person's settings between the defaults and the command line, before a command runs.
 * @throws {Refusal} where the file is wrong
 */
export async function applyConfig(command: Command): Promise<void> {
  const name = command.name() as CommandName;
  if (!takesHabits(name)) return;
  const rows = optionsOf(name).filter(({ habit }) => habit === true);
  for (const row of rows) putBack(command, row);
  const place = configPlace();
  if (!isToBeRead(place)) return;
  const { readConfig } = await import('./read-config.ts');
  const settings = readConfig(place.path);
  for (const { key, goesWith, yieldsTo = [] } of habitRows().filter((habit) =>
    habit.commands.includes(name),
  )) {
    const setting = settings.get(key);
    if (setting === undefined) continue;
    if (goesWith !== undefined && !isFromFile(command, goesWith)) continue;
    if (yieldsTo.some((other) => !isUnsaid(command, other))) continue;
    if (isUnsaid(command, key)) command.setOptionValueWithSource(attributeOf(key), setting.value, FROM_FILE);
  }
  const told = (key: string, look: () => Promise<void>) =>
    withItsLine(`${place.path}:${settings.get(key)?.line}`, look);
  if (name === 'check' && settings.has('port')) {
    await told('port', () => checkUsualWire(command, settings.get('port')!.value as readonly string[]));
  }
  if (isFromFile(command, 'port')) {
    await told('port', async () => {
      const { wireOfPorts } = await import('../play/slowest-wire.ts');
      wireOfPorts(command.getOptionValue('port'));
    });
  }
  if (isFromFile(command, 'instrument')) {
    await told('instrument', () => fetchNamedInstruments([command.opts()]));
  }
}

/** Whether the value that an option has is the settings file's. */
export function isFromFile(command: Command, key: string): boolean {
  return command.getOptionValueSource(attributeOf(key)) === FROM_FILE;
}

/** `--no-instrument`: as if the file did not say it. A switch is then off, which is what the parser makes of it. */
function putBack(command: Command, { name, kind, default: usual }: OptionRow): void {
  const attribute = attributeOf(name);
  if (kind !== 'switch' && command.getOptionValue(attribute) === false) {
    command.setOptionValueWithSource(attribute, usual, 'cli');
  }
}

/** `check` judges for the wire of the usual port, as `play` plans for it, unless a wire is described. */
async function checkUsualWire(command: Command, ports: readonly string[]): Promise<void> {
  const { wireOfPorts } = await import('../play/slowest-wire.ts');
  const wire = wireOfPorts(ports);
  if (isUnsaid(command, 'baud')) command.setOptionValueWithSource('baud', wire.baud, FROM_FILE);
  if (isUnsaid(command, 'running-status')) {
    command.setOptionValueWithSource('runningStatus', wire.runningStatus === 'ours', FROM_FILE);
  }
}

/** What the file names and is not there is refused with the line that names it: nobody typed it this time. */
async function withItsLine(place: string, look: () => Promise<void>): Promise<void> {
  try {
    await look();
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    throw new Refusal(error.what, `${error.where} (${place})`, error.nextStep);
  }
}

function isUnsaid(command: Command, key: string): boolean {
  const source = command.getOptionValueSource(attributeOf(key));
  return source === undefined || source === 'default';
}
