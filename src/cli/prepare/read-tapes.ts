import { extname } from 'node:path';
import { readTape, type TapeRead } from '../../core/export/tape/read-tape.ts';
import { readWav, UnreadableWav, type WavSound } from '../../core/export/tape/read-wav.ts';
import { readTapeHead, type TapeHead } from '../../core/export/tape/tape-image.ts';
import { openSongFile } from '../../files/open-song.ts';
import { writeSafely } from '../../files/write-safely.ts';
import { cleanText } from '../../screen/format/text-cleaning.ts';
import { Refusal } from '../../trouble/refusal.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import { jsonText } from '../output/json-text.ts';
import { EXIT } from '../trouble.ts';
import { fileFormOf } from './prepared-file.ts';

/** `prepare --from-tape --json`; the fields are in docs/tape.md. */
export interface TapeReport {
  readonly schema: 'wirepit-tape/1';
  readonly files: readonly string[];
  readonly baud: number;
  readonly name: string | null;
  readonly loadAddress: number | null;
  readonly startAddress: number | null;
  /** Blocks of memory there are, and those that no recording has whole; the head counts as 0. */
  readonly blocks: number | null;
  readonly missing: readonly number[];
  /** Put together from several recordings, none of which had them whole. */
  readonly joined: number;
  readonly bytes: number;
  /** Recordings that end in mid-sound. */
  readonly cut: readonly string[];
}

/** Reads recordings of one tape, joins them, and writes what is whole. What was read is kept even where blocks are missing. */
export function readTapes(paths: readonly string[], flags: FlagsOf<'prepare'>): void {
  const form = flags.out === undefined ? undefined : fileFormOf(flags.out);
  if (flags.out !== undefined && extname(flags.out).toLowerCase() === '.wav') {
    throw new Refusal(
      'a tape is read into memory, not onto a tape again',
      `--out ${flags.out}`,
      'let it end in .bin or .hex',
    );
  }
  const sounds = paths.map((path) => ({ path, sound: soundOf(path) }));
  const read = readTape(sounds.map(({ sound }) => sound));
  if (read.blocks.length === 0) {
    throw new Refusal(
      'no block of a tape can be read in it',
      paths[0]!,
      'record it again: louder, or from the other channel',
    );
  }
  const head = read.blocks[0]!.number === 0 ? readTapeHead(read.blocks[0]!) : undefined;
  const memory = memoryOf(read, head);
  if (form !== undefined) {
    writeSafely(
      flags.out!,
      form(memory, { hexRecordBytes: 32, tapeBaud: read.baud, name: head?.name ?? '' }),
    );
  }
  const report: TapeReport = {
    schema: 'wirepit-tape/1',
    files: paths.map((path) => cleanText(path)),
    baud: read.baud,
    name: head === undefined ? null : head.name,
    loadAddress: head?.loadAddress ?? null,
    startAddress: head?.startAddress ?? null,
    blocks: read.total ?? null,
    missing: read.missing,
    joined: read.joined,
    bytes: memory.bytes.length,
    cut: sounds.filter(({ sound }) => sound.isCut).map(({ path }) => cleanText(path)),
  };
  process.stdout.write(flags.json ? `${jsonText(report)}\n` : `${tapeLines(report).join('\n')}\n`);
  process.exitCode = read.missing.length === 0 ? EXIT.done : EXIT.problems;
}

/** Missing blocks are left as zeros, in their places. */
function memoryOf({ blocks }: TapeRead, head: TapeHead | undefined) {
  const data = blocks.filter(({ number }) => number > 0);
  const from = head?.loadAddress ?? Math.min(...data.map(({ address }) => address));
  const end = Math.max(from + (head?.length ?? 0), ...data.map((block) => block.address + block.data.length));
  const bytes = new Uint8Array(end - from);
  for (const block of data) if (block.address >= from) bytes.set(block.data, block.address - from);
  return { bytes, loadAddress: from, startAddress: head?.startAddress ?? from };
}

function soundOf(path: string): WavSound {
  try {
    return readWav(openSongFile(path).bytes);
  } catch (error) {
    if (!(error instanceof UnreadableWav)) throw error;
    throw new Refusal(error.reason, `${path}, byte ${error.offset}`, error.nextStep);
  }
}

function tapeLines({
  files,
  baud,
  name,
  blocks,
  missing,
  joined,
  bytes,
  loadAddress,
  cut,
}: TapeReport): string[] {
  const hex = (address: number) => `${address.toString(16).toUpperCase().padStart(4, '0')}h`;
  const lines = [`${files.join(', ')}: ${baud} baud${name === null ? '' : `, ${cleanText(name)}`}`];
  const where = loadAddress === null ? '' : ` from ${hex(loadAddress)}`;
  lines.push(
    `  ${bytes} bytes${where}; ${blocks ?? 'an unknown number of'} blocks${joined > 0 ? `, ${joined} of them put together from several recordings` : ''}`,
  );
  if (missing.length > 0) {
    const heads = missing.map((number) => (number === 0 ? 'the head' : String(number)));
    lines.push(`  missing: ${heads.join(', ')}; record the tape again and name both recordings, they join`);
  }
  for (const file of cut) lines.push(`  ${file} ends in the middle of its sound`);
  return lines;
}
