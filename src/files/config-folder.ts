import { homedir } from 'node:os';
import { join } from 'node:path';

/** Where a person keeps what is usual for wirepit (XDG Base Directory Specification 0.8): settings, instruments. */
export function configFolder(env: Readonly<Record<string, string | undefined>> = process.env): string {
  const config = env.XDG_CONFIG_HOME;
  // A relative path is to be ignored, says the specification.
  return join(config?.startsWith('/') ? config : join(homedir(), '.config'), 'wirepit');
}
