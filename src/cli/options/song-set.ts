import { findSongs } from '../../files/find-songs.ts';
import { pathKind } from '../../files/path-kind.ts';
import { shippedFolder } from '../../files/shipped-folder.ts';
import { Refusal } from '../../trouble/refusal.ts';

/** The songs a run may play. */
export interface SongSet {
  readonly paths: readonly string[];
  /** The first path was given as a song, so it is played at once; otherwise the person chooses. */
  readonly playFirst: boolean;
  /** Something was named on the command line. */
  readonly named: boolean;
}

/**
 * Songs from what was named: files as they stand, folders with every song in them. With nothing named, `songs/`
 * here, or else our own songs beside the program.
 * @throws Refusal for a folder without songs; a missing file is refused when it is opened
 */
export function songSetOf(named: readonly string[]): SongSet {
  const asked = named.length > 0 ? named : [isFolder('songs') ? 'songs' : shippedFolder('songs')];
  const paths = asked.flatMap((path) => (isFolder(path) ? songsIn(path) : [path]));
  return { paths, playFirst: !isFolder(asked[0]!), named: named.length > 0 };
}

/** `wirepit chekc songs/` names a song for the parser: before the folder plays, the slip is told. */
export function refuseMistypedCommand(first: string | undefined): void {
  if (first === undefined || !/^[a-z]+$/i.test(first)) return;
  if (pathKind(first) !== 'none') return;
  throw new Refusal(
    'there is no command, file or folder of that name',
    first,
    'wirepit --help lists the commands',
  );
}

function songsIn(folder: string): readonly string[] {
  const { paths } = findSongs(folder);
  if (paths.length === 0)
    throw new Refusal('there is no song in this folder', folder, 'name one with .mid files in it');
  return paths;
}

function isFolder(path: string): boolean {
  return pathKind(path) === 'folder';
}
