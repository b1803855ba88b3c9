import { existsSync } from 'node:fs';
import { extname, join } from 'node:path';
import { GENERAL_MIDI_2 } from '../core/instrument/general-midi-2.ts';
import { GENERAL_MIDI } from '../core/instrument/general-midi-instrument.ts';
import type { Profile } from '../core/instrument/profile.ts';
import { Refusal } from '../trouble/refusal.ts';
import { PROFILE_ENDINGS, profileFolders, profileNamesIn } from './profile-folders.ts';
import { readNameDocument } from './read-name-document.ts';
import { readProfile } from './read-profile.ts';

const BUILT_IN: ReadonlyMap<string, Profile> = new Map(
  [['general-midi', GENERAL_MIDI] as const, ['general-midi-2', GENERAL_MIDI_2] as const].map(
    ([name, instrument]) => [name, { instrument, said: new Set<string>(), remarks: [] }],
  ),
);

/**
 * An instrument by name (built in, in the config folder, or shipped with the program) or by file.
 * @throws {Refusal} where there is none of this name, or its file is not as it should be
 */
export function profileNamed(name: string, folders: readonly string[] = profileFolders()): Profile {
  const builtIn = BUILT_IN.get(name);
  if (builtIn !== undefined) return builtIn;
  const isFile = name.includes('/') || extname(name) !== '' || existsSync(name);
  const file = isFile ? name : fileOf(name, folders);
  if (file === undefined) {
    const names = [...BUILT_IN.keys(), ...profileNamesIn(folders)].join(', ');
    throw new Refusal(
      `no instrument is called "${name}"`,
      '--instrument',
      `name a file, or one of: ${names}`,
    );
  }
  return /\.(midnam|xml)$/i.test(file) ? readNameDocument(file) : readProfile(file);
}

function fileOf(name: string, folders: readonly string[]): string | undefined {
  return folders
    .flatMap((folder) => PROFILE_ENDINGS.map((ending) => join(folder, `${name}${ending}`)))
    .find((path) => existsSync(path));
}
