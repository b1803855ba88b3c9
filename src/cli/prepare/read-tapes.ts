import { readTape, type TapeRead } from '../../core/export/tape/read-tape.ts';
import { readWav, UnreadableWav, type WavSound } from '../../core/export/tape/read-wav.ts';
import { type MemoryImage, readTapeHead, type TapeHead } from '../../core/export/tape/tape-image.ts';
import { memoryOfBlocks } from '../../core/export/tape/tape-memory.ts';
import { counted } from '../../core/report/figure-text.ts';
import { openTapeFile } from '../../files/open-song.ts';
import { writeSafely } from '../../files/write-safely.ts';
import { cleanText } from '../../screen/format/text-cleaning.ts';
import { Refusal } from '../../trouble/refusal.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import { jsonText } from '../output/json-text.ts';
import { stageLine } from '../output/stage-line.ts';
import { EXIT } from '../trouble.ts';
import { fileFormOf, isSoundFile } from './prepared-file.ts';

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
  /** Whole blocks of another tape that were passed over. */
  readonly others: number;
  /** Recordings that end in mid-sound. */
  readonly cut: readonly string[];
}

/** Reads recordings of one tape, joins them, and writes what is whole. What was read is kept even where blocks are missing. */
export function readTapes(paths: readonly string[], flags: FlagsOf<'prepare'>): void {
  const form = flags.out === undefined ? undefined : fileFormOf(flags.out);
  if (flags.out !== undefined && isSoundFile(flags.out)) {
    throw new Refusal(
      'a tape is read into memory, not onto a tape again',
      `--out ${flags.out}`,
      'let it end in .bin or .hex',
    );
  }
  const sounds = paths.map((path) => ({ path, sound: soundOf(path) }));
  const stage = stageLine(process.stderr);
  const read = readTape(
    sounds.map(({ sound }) => sound),
    (pass, share) => stage.say(`listening to ${cleanText(paths[pass]!)}, ${Math.round(100 * share)} %`),
  );
  stage.end();
  if (read.blocks.length === 0) {
    throw new Refusal(
      'no block of a tape can be read in it',
      paths[0]!,
      'record it again: louder, or from the other channel',
    );
  }
  if (read.twofold.length > 0) {
    throw new Refusal(
      `block ${read.twofold[0]} is there twice and differs: there is more than one song in it`,
      paths.join(', '),
      'name recordings of one song alone',
    );
  }
  const head = read.blocks[0]!.number === 0 ? readTapeHead(read.blocks[0]!) : undefined;
  const memory = memoryOf(read, head, paths);
  if (form !== undefined) {
    writeSafely(
      flags.out!,
      form(memory, {
        hexRecordBytes: 32,
        tapeBaud: read.baud,
        wavRate: flags.wavRate,
        name: head?.name ?? '',
      }),
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
    others: read.others,
    cut: sounds.filter(({ sound }) => sound.isCut).map(({ path }) => cleanText(path)),
  };
  process.stdout.write(flags.json ? `${jsonText(report)}\n` : `${tapeLines(report).join('\n')}\n`);
  process.exitCode = read.missing.length === 0 ? EXIT.done : EXIT.problems;
}

function memoryOf({ blocks }: TapeRead, head: TapeHead | undefined, paths: readonly string[]): MemoryImage {
  const memory = memoryOfBlocks(blocks, head);
  if (!('number' in memory)) return memory;
  const where = memory.over === undefined ? 'outside of what the head says' : `over block ${memory.over}`;
  throw new Refusal(
    `block ${memory.number} lies at ${hex(memory.address)}, ${where}`,
    paths.join(', '),
    'this tape was not made by wirepit prepare',
  );
}

const hex = (address: number) => `${address.toString(16).toUpperCase().padStart(4, '0')}h`;

function soundOf(path: string): WavSound {
  try {
    return readWav(openTapeFile(path).bytes);
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
  others,
  cut,
}: TapeReport): string[] {
  const lines = [`${files.join(', ')}: ${baud} baud${name === null ? '' : `, ${cleanText(name)}`}`];
  const where = loadAddress === null ? '' : ` from ${hex(loadAddress)}`;
  lines.push(
    `  ${counted(bytes, 'byte')}${where}; ${blocks ?? 'an unknown number of'} blocks${joined > 0 ? `, ${joined} of them put together from several recordings` : ''}`,
  );
  if (missing.length > 0) {
    const heads = missing.map((number) => (number === 0 ? 'the head' : String(number)));
    lines.push(`  missing: ${heads.join(', ')}; record the tape again and name both recordings, they join`);
  }
  if (others > 0) lines.push(`  ${counted(others, 'block')} of another tape were passed over`);
  for (const file of cut) lines.push(`  ${file} ends in the middle of its sound`);
  return lines;
}
