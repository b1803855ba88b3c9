import { chmodSync, mkdirSync, readdirSync } from 'node:fs';
import { homedir } from 'node:os';
import { join } from 'node:path';

const ENDING = '.socket';

/**
 * Where running shows can be found: the user's own runtime folder, or the state folder where there is none (XDG Base
 * Directory Specification 0.8). Nobody else may look into it.
 */
export function socketFolder(): string {
  const runtime = process.env.XDG_RUNTIME_DIR;
  const state = process.env.XDG_STATE_HOME || join(homedir(), '.local', 'state');
  return join(runtime || state, 'wirepit');
}

/** @param name the show's, as `showFileName` makes it */
export function socketPath(name: string): string {
  return join(socketFolder(), `${name}${ENDING}`);
}

/** Makes the folder, for the user alone. Throws as `mkdirSync` does. */
export function makeSocketFolder(): void {
  mkdirSync(socketFolder(), { recursive: true, mode: 0o700 });
  chmodSync(socketFolder(), 0o700);
}

/** Paths of all sockets there; whether a show still answers is found by knocking. */
export function socketsThere(): string[] {
  try {
    return readdirSync(socketFolder())
      .filter((name) => name.endsWith(ENDING))
      .map((name) => join(socketFolder(), name))
      .sort();
  } catch {
    return [];
  }
}

/** A path longer than this is no socket address (Linux unix(7): 108 bytes with the closing zero; macOS 104). */
export const LONGEST_SOCKET_PATH = 103;
