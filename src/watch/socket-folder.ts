import { chmodSync, mkdirSync, readdirSync } from 'node:fs';
import { homedir } from 'node:os';
import { join } from 'node:path';

const ENDING = '.socket';

/**
 * Where a show can be found: the user's own runtime folder, or the state folder where there is none (XDG Base Directory
 * Specification 0.8). Nobody else may look into it.
 */
function socketFolder(): string {
  return socketFolders()[0]!;
}

/**
 * All places where the user's shows may be: one that the system started has no runtime folder, though whoever logs in
 * later has (systemd.exec(5), "Environment Variables in Spawned Processes").
 */
function socketFolders(): string[] {
  const state = process.env.XDG_STATE_HOME || join(homedir(), '.local', 'state');
  return [process.env.XDG_RUNTIME_DIR, state]
    .filter((place) => !!place)
    .map((place) => join(place!, 'wirepit'));
}

/** @param name the show's, as `showFileName` makes it */
export function socketPath(name: string): string {
  return join(socketFolder(), `${name}${ENDING}`);
}

/** The same, wherever that show may have been started. */
export function socketPathsOf(name: string): string[] {
  return socketFolders().map((folder) => join(folder, `${name}${ENDING}`));
}

/** Makes the folder, for the user alone. Throws as `mkdirSync` does. */
export function makeSocketFolder(): void {
  mkdirSync(socketFolder(), { recursive: true, mode: 0o700 });
  chmodSync(socketFolder(), 0o700);
}

/** Paths of all sockets there are; whether a show still answers is found by knocking. */
export function socketsThere(): string[] {
  return socketFolders().flatMap((folder) => {
    try {
      const names = readdirSync(folder).filter((name) => name.endsWith(ENDING));
      return names.map((name) => join(folder, name)).sort();
    } catch {
      return [];
    }
  });
}

/** A path longer than this is no socket address (Linux unix(7): 108 bytes with the closing zero; macOS 104). */
export const LONGEST_SOCKET_PATH = 103;
