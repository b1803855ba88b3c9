import { readFileSync, statSync } from 'node:fs';
import { basename, dirname, resolve } from 'node:path';
import { type DeviceNames, isSameDevice } from '../core/instrument/name-document/extended-document.ts';
import {
  type NameDocumentReading,
  profileFromNameDocument,
} from '../core/instrument/name-document/profile-from-name-document.ts';
import type { XmlElement } from '../core/instrument/name-document/xml-element.ts';
import { Refusal } from '../trouble/refusal.ts';
import { documentsIn } from './name-document-folder.ts';
import { readXml } from './read-xml.ts';

const LARGEST_BYTES = 16 * 1024 * 1024;

/**
 * Reads a MIDI name document (.midnam).
 * @throws {Refusal} with file, line and column: not there, not XML, too deep, or another kind of document
 */
export function readNameDocument(file: string): NameDocumentReading {
  return parseNameDocument(textOf(file), file, (names) => extendedBeside(file, names));
}

/** As `readNameDocument`, for a text that is at hand. @param besides the document that this one extends */
export function parseNameDocument(
  text: string,
  file: string,
  besides: (names: DeviceNames) => XmlElement | undefined = () => undefined,
): NameDocumentReading {
  const root = readXml(text, file);
  if (root.name !== 'MIDINameDocument') {
    throw new Refusal(
      `this is no MIDI name document but a ${root.name}`,
      `${file}:${root.line}`,
      'name a .midnam file, or a profile in TOML',
    );
  }
  return profileFromNameDocument(root, besides);
}

/** Undefined where no other document of the folder is of this device. Nothing outside the folder is looked at. */
function extendedBeside(file: string, names: DeviceNames): XmlElement | undefined {
  const found = documentsIn(dirname(resolve(file))).find(
    (other) => other.path !== resolve(file) && isSameDevice(other, names),
  );
  return found && readXml(textOf(found.path), found.path, basename(found.path));
}

function textOf(file: string): string {
  let bytes: Buffer;
  try {
    const stats = statSync(file);
    if (!stats.isFile()) throw new Refusal('this is not a regular file', file, 'name a .midnam file');
    if (stats.size > LARGEST_BYTES) throw new Refusal('the file is too large', file, 'name a .midnam file');
    bytes = readFileSync(file);
  } catch (error) {
    if (error instanceof Refusal) throw error;
    const { code } = error as NodeJS.ErrnoException;
    if (code === undefined) throw error;
    throw new Refusal(CAUSES[code] ?? `it cannot be read (${code})`, file, 'check the path');
  }
  return decoded(bytes, file);
}

const CAUSES: Readonly<Record<string, string>> = {
  ENOENT: 'there is no such file',
  EACCES: 'you may not read it',
  EPERM: 'you may not read it',
};

/** By its byte order mark or what it declares (XML 1.0, 4.3.3); UTF-8 where it says nothing. */
function decoded(bytes: Buffer, file: string): string {
  const mark =
    bytes[0] === 0xff && bytes[1] === 0xfe
      ? 'utf-16le'
      : bytes[0] === 0xfe && bytes[1] === 0xff
        ? 'utf-16be'
        : undefined;
  const declared = /^<\?xml[^>]*encoding\s*=\s*["']([\w.-]+)["']/.exec(
    bytes.subarray(0, 200).toString('latin1'),
  )?.[1];
  const encoding = mark ?? declared ?? 'utf-8';
  try {
    return new TextDecoder(encoding, { fatal: true }).decode(bytes);
  } catch (error) {
    if (!(error instanceof TypeError || error instanceof RangeError)) throw error;
    throw new Refusal(`the text is not ${encoding.toUpperCase()}`, file, 'save it as UTF-8');
  }
}
