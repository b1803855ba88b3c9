import { basename } from 'node:path';
import type { Command } from 'commander';
import { type Board, readBoard } from '../../board/board.ts';
import { verifySong } from '../../board/verify-song.ts';
import { IMAGE_HEAD } from '../../core/export/player/image.ts';
import type { PlayerMachine } from '../../core/export/player/player-machine.ts';
import { type MemoryAdvice, memoryAdvice } from '../../core/export/prepare-advice.ts';
import { type PreparedSong, prepareSong } from '../../core/export/prepare-song.ts';
import { blocksOfImage } from '../../core/export/tape/tape-image.ts';
import { TAPE_SOUND, tapeSeconds } from '../../core/export/tape/tape-sound.ts';
import { counted } from '../../core/report/figure-text.ts';
import { loadSong } from '../../files/load-song.ts';
import { writeSafely } from '../../files/write-safely.ts';
import { fileIdentity } from '../../ports/file/file-identity.ts';
import { cleanText } from '../../screen/format/text-cleaning.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { fittedSong } from '../fit/fitted-song.ts';
import { addOptions } from '../options/add-options.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import { fetchNamedInstruments } from '../options/instrument-names.ts';
import { jsonText } from '../output/json-text.ts';
import { type StageLine, stageLine } from '../output/stage-line.ts';
import { EXIT } from '../trouble.ts';
import { adviceReport, bytesOf, fitReport, type PrepareReport, prepareLines } from './prepare-report.ts';
import { fileFormOf, isSoundFile } from './prepared-file.ts';
import { readTapes } from './read-tapes.ts';

type PrepareFlags = FlagsOf<'prepare'>;

/** `wirepit prepare <song> --board <file>`. */
export function registerPrepare(program: Command): void {
  const prepare = program
    .command('prepare')
    .description('make a song ready for a small machine: player and song as one image, to the cycle')
    .argument('<song...>', 'song file; with --from-tape one or more recordings of a tape (.wav)')
    .addHelpText('after', '\nExit code: 0 it fits, 1 it does not (nothing is written), 2 it cannot be done.');
  addOptions(prepare, 'prepare').action((paths: string[], flags: PrepareFlags) => {
    if (flags.out !== undefined) refuseToWriteOver(flags.out, paths);
    if (flags.fromTape) return readTapes(paths, flags);
    if (paths.length > 1) throw new Refusal('one song at a time', paths[1]!, 'prepare it by itself');
    return prepareFile(paths[0]!, flags);
  });
}

/** What is read, a prepared song perhaps, is never written over. */
function refuseToWriteOver(out: string, sources: readonly string[]): void {
  const written = fileIdentity(out);
  if (written !== undefined && sources.some((source) => fileIdentity(source) === written))
    throw new Refusal('this is the file that is read', `--out ${out}`, 'give --out another name');
}

async function prepareFile(path: string, flags: PrepareFlags): Promise<void> {
  if (flags.board === undefined)
    throw new Refusal(
      'no machine is named',
      '--board',
      'name a board file, as in docs/boards/lantern-80.toml',
    );
  const form = flags.out === undefined ? undefined : fileFormOf(flags.out);
  const board = readBoard(flags.board);
  await fetchNamedInstruments([flags]);
  const stage = stageLine(process.stderr);
  try {
    await prepareOn(stage, path, flags, board, form);
  } finally {
    stage.end();
  }
}

async function prepareOn(
  stage: StageLine,
  path: string,
  flags: PrepareFlags,
  board: Board,
  form: ReturnType<typeof fileFormOf> | undefined,
): Promise<void> {
  const machine = machineOf(board, flags);
  const written = loadSong(path, undefined, flags.songPort);
  if (flags.instrument !== undefined) stage.say('fitting it to the instrument');
  const fitted = flags.instrument === undefined ? undefined : fittedSong(written, flags);
  const { timeline } = fitted?.loaded ?? written;
  const arrangement = { tolerance: flags.thin };
  const limitMicros = flags.gridError * 1000;
  stage.say(`packing ${counted(timeline.columns.count, 'message')}`);
  let song = prepared(() => prepareSong(timeline, arrangement, machine, limitMicros), path);
  const advice: MemoryAdvice[] = [];
  let changed: MemoryAdvice | undefined;
  if (song === undefined || song.freeBytes < 0) {
    for (const one of memoryAdvice(timeline, arrangement, machine, limitMicros)) {
      // Leaving values out can spoil what repeats: only what makes the song smaller is advice.
      if (song !== undefined && one.bytes >= song.memoryBytes) continue;
      advice.push(one);
      stage.say(`looking for what would make it fit, ${advice.length} found`);
      if (flags.fitMemory && one.fits) {
        changed = one;
        song = one.song;
        break;
      }
    }
  }
  if (song === undefined)
    throw new Refusal(
      'even packed it is past the 64 KB that an address can reach',
      path,
      'prepare a part of it, or leave channels out',
    );
  const playerEnd = song.memoryBytes - song.image.streamBytes;
  if (playerEnd > board.to - board.from)
    throw new Refusal(
      `the player alone takes ${playerEnd} bytes, and the memory has ${board.to - board.from}`,
      board.file,
      'give it more memory',
    );
  const fits = song.freeBytes >= 0;
  if (flags.verify && fits) stage.say(`running it on an emulated processor`);
  const verified = flags.verify && fits ? await verifySong(song, board) : undefined;
  if (flags.verify && fits && verified === undefined)
    throw new Refusal(
      'the emulator is not installed',
      '--verify',
      `npm install ${board.cpu === 'z80' ? 'z80-emulator' : 'mos6502'}, or leave --verify out`,
    );
  const blocks = blocksOfImage(song.image, basename(path), board.tapeBaud);
  if (form !== undefined && fits) {
    stage.say(`writing ${cleanText(flags.out!)}`);
    writeSafely(flags.out!, form(song.image, { ...board, wavRate: flags.wavRate, name: basename(path) }));
  }
  const report: PrepareReport = {
    schema: 'wirepit-prepare/1',
    file: cleanText(path),
    board: cleanText(board.file),
    fits,
    bytes: bytesOf(song),
    loadAddress: song.image.loadAddress,
    startAddress: song.image.startAddress,
    gridMicros: song.gridMicros,
    gridErrorMaxMicros: song.gridErrorMaxMicros,
    worstLateMicros: song.worstLateMicros,
    events: song.events,
    tapeSeconds: tapeSeconds(blocks, { ...TAPE_SOUND, baud: board.tapeBaud }),
    verified: verified ?? null,
    fitted: fitted === undefined ? null : fitReport(fitted),
    changed: changed === undefined ? null : adviceReport(changed),
    advice: changed === undefined ? advice.map(adviceReport) : [],
  };
  stage.end();
  const isSound = flags.out !== undefined && isSoundFile(flags.out);
  const lines = [...prepareLines(report), ...(isSound && fits ? [SOUND_CAUTION] : [])];
  process.stdout.write(flags.json ? `${jsonText(report)}\n` : `${lines.join('\n')}\n`);
  const isProved =
    verified === undefined || (verified.equal === verified.bytes && verified.strayAccesses === 0);
  process.exitCode = fits && isProved ? EXIT.done : EXIT.problems;
}

const SOUND_CAUTION =
  '  caution  turn it down first: at full level this sound hurts ears and loudspeakers, and a microphone input wants an attenuator';

function machineOf(board: Board, flags: PrepareFlags): PlayerMachine {
  if (board.to - board.from <= IMAGE_HEAD.size)
    throw new Refusal('there is no room for the player', board.file, 'give it more memory');
  return { ...board, repeat: flags.repeat ?? false };
}

/** Undefined where it is past 64 KiB. @throws {Refusal} where there is nothing to play */
function prepared(make: () => PreparedSong | undefined, path: string): PreparedSong | undefined {
  try {
    const song = make();
    if (song === undefined) throw new Refusal('there is nothing to play in it', path, 'choose another song');
    return song;
  } catch (error) {
    if (error instanceof RangeError) return undefined;
    throw error;
  }
}
