import { closeSync, constants, fstatSync, openSync, readSync, type Stats, statSync } from 'node:fs';
import { Refusal } from '../trouble/refusal.ts';
import { diskPath } from './disk-path.ts';
import { pathError } from './path-error.ts';

/** A larger file is not a song for this wire: at 3,125 bytes a second 64 MB are six hours without a gap. */
export const LARGEST_SONG_BYTES = 64 * 1024 * 1024;

export interface SongFile {
  readonly path: string;
  readonly bytes: Uint8Array;
}

/** What a file is opened as: how it is called, how large it may be, and what to do instead. */
interface FileUse {
  readonly noun: string;
  readonly most: number;
  readonly ofFolder: string;
  readonly ofSize: string;
}

const SONG: FileUse = {
  noun: 'song',
  most: LARGEST_SONG_BYTES,
  ofFolder: 'give a song file in it, or use `check` for the folder',
  ofSize: 'check that it is a song',
};
/** 64 KB at 300 baud last 40 minutes, which are 230 MB at 44,100 samples of sixteen bits a second. */
const TAPE: FileUse = {
  noun: 'recording',
  most: 512 * 1024 * 1024,
  ofFolder: 'name the recordings in it',
  ofSize: 'cut out the part with the song, or record with 44100 samples of 16 bits a second',
};

/**
 * Reads a whole song file into memory of its own.
 * @throws {Refusal} for what is missing, may not be read, is empty, too large or no regular file
 */
export function openSongFile(path: string): SongFile {
  return openWhole(path, SONG);
}

/** The same for a recording of a tape, which may be larger. @throws {Refusal} */
export function openTapeFile(path: string): SongFile {
  return openWhole(path, TAPE);
}

function openWhole(path: string, use: FileUse): SongFile {
  return attempt(path, () => {
    // A FIFO would block in `open`, so what it is comes first.
    refuseUnless(path, statSync(diskPath(path)), use);
    const descriptor = openSync(diskPath(path), constants.O_RDONLY | constants.O_NONBLOCK);
    try {
      const stats = fstatSync(descriptor);
      refuseUnless(path, stats, use);
      return { path, bytes: readAll(descriptor, stats.size) };
    } finally {
      closeSync(descriptor);
    }
  });
}

function refuseUnless(path: string, stats: Stats, { noun, most, ofFolder, ofSize }: FileUse): void {
  if (stats.isDirectory()) throw new Refusal(`this is a folder, not a ${noun}`, path, ofFolder);
  if (!stats.isFile())
    throw new Refusal('this is not a regular file', path, `copy the ${noun} to a file first`);
  if (stats.size === 0) throw new Refusal('the file is empty', path, 'copy it again from where it came from');
  if (stats.size > most) {
    const megabytes = Math.round(stats.size / (1024 * 1024));
    const limit = most / (1024 * 1024);
    throw new Refusal(`the file has ${megabytes} MB, and a ${noun} has at most ${limit}`, path, ofSize);
  }
}

/** Fewer bytes than the size are taken as they come: someone may be cutting the file. */
function readAll(descriptor: number, size: number): Uint8Array {
  const bytes = new Uint8Array(size);
  let length = 0;
  while (length < size) {
    const read = readSync(descriptor, bytes, length, size - length, null);
    if (read === 0) break;
    length += read;
  }
  return bytes.subarray(0, length);
}

function attempt<T>(path: string, work: () => T): T {
  try {
    return work();
  } catch (error) {
    if (error instanceof Refusal || !(error instanceof Error) || !('code' in error)) throw error;
    const [what, nextStep] = pathError(String(error.code));
    throw new Refusal(what, path, nextStep);
  }
}
