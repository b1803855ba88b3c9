import { extname } from 'node:path';
import { imageFacts, looksLikeHex, looksPrepared } from '../core/export/image-facts.ts';
import { IMAGE_HEAD, IMAGE_VERSION } from '../core/export/player/image.ts';
import { memoryBytesOf, stackBytesOf, UNIT_CYCLES } from '../core/export/player/player-machine.ts';
import { type ImageFault, type PlayedImage, readImage } from '../core/export/player/read-image.ts';
import { readHexRecords, UnreadableHex } from '../core/export/read-hex-records.ts';
import { counted } from '../core/report/figure-text.ts';
import { Refusal } from '../trouble/refusal.ts';

/** What an image is held against: the board it is to play on. */
export interface ImageBoard {
  readonly file: string;
  readonly cpu: 'z80' | '6502';
  readonly clockHz: number;
  readonly from: number;
  readonly to: number;
}

/** A prepared song, read and played back without the machine. */
export interface ImageFile {
  readonly played: PlayedImage;
  /** In words, for a title. */
  readonly about: string;
}

/** Whether this is a prepared song, by its bytes or, where these are damaged, by its name. */
export function isImageFile(path: string, bytes: Uint8Array): boolean {
  return looksPrepared(bytes) || ['.bin', '.hex'].includes(extname(path).toLowerCase());
}

/**
 * Reads what `prepare` has written, as plain bytes or Intel HEX.
 * @param board where one is named, the image must be for it
 * @throws {Refusal} for what is damaged, of another version, or for another machine
 */
export function readImageFile(path: string, file: Uint8Array, board?: ImageBoard): ImageFile {
  const memory = looksLikeHex(file) ? hexMemory(path, file) : { bytes: file, loadAddress: undefined };
  const played = readImage(memory.bytes);
  if ('kind' in played) {
    const [what, offset, nextStep] = faultWords(played);
    throw new Refusal(what, offset === undefined ? path : `${path}, byte ${offset}`, nextStep);
  }
  if (played.bytes.length === 0)
    throw new Refusal('there is nothing to play in it', path, 'prepare another song');
  const facts = imageFacts(memory.bytes);
  const { loadAddress } = facts;
  const imageBytes = memory.bytes.length;
  const end = loadAddress + imageBytes;
  if (memory.loadAddress !== undefined && memory.loadAddress !== loadAddress)
    throw new Refusal(
      `its records lie at ${hex(memory.loadAddress)}, and it was made for ${hex(loadAddress)}`,
      path,
      'prepare it anew',
    );
  if (board !== undefined) refuseOtherMachine(path, facts, { imageBytes, deepest: played.deepest }, board);
  const about = `prepared for ${hex(loadAddress)} to ${hex(end - 1)}${facts.repeats ? ', begins again at its end' : ''}`;
  return { played, about };
}

function refuseOtherMachine(
  path: string,
  { cpu, loadAddress, unitsPerSecond }: ReturnType<typeof imageFacts>,
  { imageBytes, deepest }: { readonly imageBytes: number; readonly deepest: number },
  board: ImageBoard,
): void {
  const other = (made: string, has: string) =>
    new Refusal(`it was made for ${made}, and ${board.file} has ${has}`, path, 'prepare it for this board');
  if (cpu !== board.cpu) throw other(`the ${cpu ?? 'unknown processor'}`, `the ${board.cpu}`);
  const stack = stackBytesOf(cpu, deepest);
  const end = loadAddress + memoryBytesOf(cpu, imageBytes, stack);
  const withStack = end > loadAddress + imageBytes ? ' with its stack' : '';
  if (loadAddress < board.from || end > board.to)
    throw other(
      `memory from ${hex(loadAddress)} to ${hex(end - 1)}${withStack}`,
      `${hex(board.from)} to ${hex(board.to - 1)}`,
    );
  if (unitsPerSecond !== Math.round(board.clockHz / UNIT_CYCLES[cpu]))
    throw other(megahertz(unitsPerSecond * UNIT_CYCLES[cpu]), megahertz(board.clockHz));
}

const hex = (address: number) => `${address.toString(16).toUpperCase().padStart(4, '0')}h`;
const megahertz = (hertz: number) => `${Number((hertz / 1e6).toFixed(4))} MHz`;

function hexMemory(path: string, file: Uint8Array) {
  try {
    return readHexRecords(new TextDecoder('latin1').decode(file));
  } catch (error) {
    if (!(error instanceof UnreadableHex)) throw error;
    throw new Refusal(error.reason, `${path}:${error.line}`, COPY);
  }
}

const COPY = 'copy it again, or prepare it anew';

function faultWords(fault: ImageFault): readonly [string, number | undefined, string] {
  switch (fault.kind) {
    case 'no-image':
      return ['this is no prepared song', undefined, 'make one with wirepit prepare'];
    case 'other-version':
      return [
        `it is of version ${fault.version}, and this program reads ${IMAGE_VERSION}`,
        IMAGE_HEAD.version,
        'prepare it anew',
      ];
    case 'cut':
      return [
        `it has ${counted(fault.bytes, 'byte')}, and says that it has ${fault.expected}`,
        Math.min(fault.bytes, fault.expected),
        COPY,
      ];
    case 'checksum':
      return ['its checksum is wrong, bytes in it have changed', IMAGE_HEAD.checksum, COPY];
    case 'leaves-memory':
      return [
        `its song leads to ${hex(fault.address & 0xffff)}, outside of it`,
        undefined,
        'prepare it anew',
      ];
    case 'endless':
      return ['its song never ends', undefined, 'prepare it anew'];
  }
}
