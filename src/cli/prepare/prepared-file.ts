import { extname } from 'node:path';
import { hexRecords } from '../../core/export/hex-records.ts';
import type { MemoryImage } from '../../core/export/tape/tape-image.ts';
import { Refusal } from '../../trouble/refusal.ts';

export interface FileForm {
  readonly hexRecordBytes: number;
}

/** How an image is written, by the ending of the file's name. Another form is another row. */
const FORMS: Readonly<Record<string, (image: MemoryImage, form: FileForm) => Uint8Array | string>> = {
  '.bin': ({ bytes }) => bytes,
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
