import { closeSync, openSync, readdirSync, readSync } from 'node:fs';
import { join } from 'node:path';
import { comparable, type DeviceNames } from '../core/instrument/name-document/extended-document.ts';

export interface DocumentInFolder extends DeviceNames {
  readonly path: string;
}

/** Maker and models stand at the beginning of a document. */
const BEGINNING_BYTES = 8192;
const FOLDERS = new Map<string, readonly DocumentInFolder[]>();

/** The name documents of a folder that describe a whole device, by its names; only their beginnings are read, once. */
export function documentsIn(folder: string): readonly DocumentInFolder[] {
  const known = FOLDERS.get(folder);
  if (known !== undefined) return known;
  const buffer = Buffer.alloc(BEGINNING_BYTES);
  const found = readdirSync(folder)
    .filter((name) => /\.(midnam|xml)$/i.test(name))
    .sort()
    .flatMap((name) => {
      const path = join(folder, name);
      const names = namesIn(beginningOf(path, buffer));
      return names === undefined ? [] : [{ path, ...names }];
    });
  FOLDERS.set(folder, found);
  return found;
}

/** '' for what cannot be read: it is none of those that are looked for. */
function beginningOf(path: string, buffer: Buffer): string {
  let descriptor: number | undefined;
  try {
    descriptor = openSync(path, 'r');
    const length = readSync(descriptor, buffer, 0, BEGINNING_BYTES, 0);
    return buffer.toString('utf8', 0, length);
  } catch {
    return '';
  } finally {
    if (descriptor !== undefined) closeSync(descriptor);
  }
}

function namesIn(text: string): DeviceNames | undefined {
  const from = text.search(/<MasterDeviceNames[\s>]/);
  if (from < 0) return undefined;
  const head = text.slice(from);
  const all = (pattern: RegExp) => Array.from(head.matchAll(pattern), ([, name]) => comparable(plain(name!)));
  const models = [...all(/<Model>([^<]*)</g), ...all(/<Device\b[^>]*\bName\s*=\s*["']([^"']*)["']/g)];
  return { maker: all(/<Manufacturer>([^<]*)</g)[0] ?? '', models: models.filter((name) => name !== '') };
}

/** XML's own five entities (XML 1.0, 4.6). */
function plain(text: string): string {
  const letters: Readonly<Record<string, string>> = { lt: '<', gt: '>', amp: '&', quot: '"', apos: "'" };
  return text.replaceAll(/&(lt|gt|amp|quot|apos);/g, (_, name: string) => letters[name]!);
}
