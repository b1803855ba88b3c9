import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

export interface PackageSong {
  /** Package and file, for the test's name. */
  readonly name: string;
  readonly bytes: Uint8Array;
}

const MODULES = fileURLToPath(new URL('../../node_modules', import.meta.url));

/** The seven songs that come with npm midifile-ts and midiconvert: there on every machine. */
export function npmSongs(): PackageSong[] {
  return [
    ...songsIn('midifile-ts', join(MODULES, 'midifile-ts/fixtures')),
    ...songsIn('midiconvert', join(MODULES, 'midiconvert/test/midi')),
  ];
}

/** Folder of songs unpacked from Debian packages, where one is given: no network is used here. */
export const DEBIAN_SONGS = process.env.WIREPIT_SONGS;

/** The `.mid` files below `WIREPIT_SONGS`, or none. Those of libterralib-doc are map data and not MIDI. */
export function debianSongs({ midi }: { midi: boolean } = { midi: true }): PackageSong[] {
  if (DEBIAN_SONGS === undefined) return [];
  return songsIn('', DEBIAN_SONGS).filter(({ name }) => name.includes('libterralib-doc') !== midi);
}

export function songsIn(label: string, folder: string): PackageSong[] {
  return (readdirSync(folder, { recursive: true }) as string[])
    .filter((path) => /\.mid$/i.test(path))
    .sort()
    .map((path) => ({ name: join(label, path), bytes: new Uint8Array(readFileSync(join(folder, path))) }));
}
