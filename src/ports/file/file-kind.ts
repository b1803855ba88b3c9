import { statSync } from 'node:fs';
import { MIDI_WIRE } from '../../core/wire/wire-traits.ts';
import { diskPath } from '../../files/disk-path.ts';
import { Refusal } from '../../trouble/refusal.ts';
import type { OutputPort } from '../output-port.ts';
import type { HowToOpen, PortKind } from '../port-kind.ts';
import { FilePort } from './file-port.ts';
import { openFileInput } from './input-file.ts';

export const FILE_KIND: PortKind = {
  name: 'file',
  usage: 'file:<path>',
  output: {
    about: 'writes what is sent, with its time, to a text file',
    wire: () => MIDI_WIRE,
    open: openFile,
  },
  input: {
    about: 'a dump of bytes, or a record with times',
    open: openFileInput,
  },
  list: () => ({
    ports: [
      {
        name: 'file:<path>',
        direction: 'both',
        note: 'a record of bytes with their times (docs/file-port.md)',
      },
    ],
    troubles: [],
  }),
};

function openFile(path: string, { replace = false }: HowToOpen): OutputPort {
  if (path === '') throw new Refusal('the file port needs a path', 'file:', 'write file:<path>');
  try {
    if (!replace) refuseToReplace(path);
    return new FilePort(path);
  } catch (error) {
    if (error instanceof Refusal) throw error;
    const { code } = error as NodeJS.ErrnoException;
    throw new Refusal(`cannot be written (${code})`, path, 'choose a file in a folder you may write to');
  }
}

/** What somebody may want to keep; an empty file, a device or a FIFO is no such thing. */
function refuseToReplace(path: string): void {
  const stats = statSync(diskPath(path), { throwIfNoEntry: false });
  if (stats === undefined || !stats.isFile() || stats.size === 0) return;
  throw new Refusal('there is a file of this name', path, 'choose another, or add --replace');
}
