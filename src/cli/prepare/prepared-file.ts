import { extname } from 'node:path';
import { hexRecords } from '../../core/export/hex-records.ts';
import { encodeWav } from '../../core/export/tape/encode-wav.ts';
import type { TapeBaud } from '../../core/export/tape/tape-format.ts';
import { blocksOfImage, type MemoryImage } from '../../core/export/tape/tape-image.ts';
import { TAPE_SOUND, tapeSamples } from '../../core/export/tape/tape-sound.ts';
import { Refusal } from '../../trouble/refusal.ts';

export interface FileForm {
  readonly hexRecordBytes: number;
  readonly tapeBaud: TapeBaud;
  /** Samples a second of a sound. */
  readonly wavRate: number;
  /** What stands in the head of a tape. */
  readonly name: string;
}

/** How an image is written, by the ending of the file's name. Another form is another row. */
const FORMS: Readonly<Record<string, (image: MemoryImage, form: FileForm) => Uint8Array | string>> = {
  '.bin': ({ bytes }) => bytes,
  '.wav': tapeFile,
  '.hex': ({ bytes, loadAddress }, { hexRecordBytes }) => hexRecords(bytes, loadAddress, hexRecordBytes),
};

/** @throws {Refusal} for a name that says no form; asked before anything is made */
export function fileFormOf(path: string): (image: MemoryImage, form: FileForm) => Uint8Array | string {
  const form = FORMS[extname(path).toLowerCase()];
  if (form === undefined)
    throw new Refusal(
      'the name does not say how to write it',
      `--out ${path}`,
      `let it end in ${Object.keys(FORMS).join(' or ')}`,
    );
  return form;
}

/** Whether a file of this name is sound: that wants a caution. */
export function isSoundFile(path: string): boolean {
  return extname(path).toLowerCase() === '.wav';
}

function tapeFile(image: MemoryImage, { name, tapeBaud: baud, wavRate: sampleRate }: FileForm): Uint8Array {
  const sound = tapeSamples(blocksOfImage(image, name, baud), { ...TAPE_SOUND, baud, sampleRate });
  return encodeWav(sound, sampleRate);
}
