import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { configFolder } from '../../files/config-folder.ts';

type Environment = Readonly<Record<string, string | undefined>>;

/** A settings file that is to be read. */
export interface ConfigPlace {
  readonly path: string;
  /** Named by `WIREPIT_CONFIG`: then it must be there. */
  readonly isNamed: boolean;
}

/**
 * Where the settings are: the file that `WIREPIT_CONFIG` names, or `config.toml` in the person's folder for wirepit.
 * Undefined with `WIREPIT_CONFIG=off`, as scripts and tests want it: then only the command line speaks.
 */
export function configPlace(env: Environment = process.env): ConfigPlace | undefined {
  const named = env.WIREPIT_CONFIG;
  if (named === 'off') return undefined;
  if (named) return { path: named, isNamed: true };
  return { path: join(configFolder(env), 'config.toml'), isNamed: false };
}

/** Whether there is anything to read. Costs one question to the disk; what reads TOML is loaded only then. */
export function isToBeRead(place: ConfigPlace | undefined): place is ConfigPlace {
  return place !== undefined && (place.isNamed || existsSync(place.path));
}
