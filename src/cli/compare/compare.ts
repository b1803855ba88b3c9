import type { Command } from 'commander';
import type { Board } from '../../board/board.ts';
import type { CauseCode } from '../../core/compare/cause.ts';
import { compareRecording } from '../../core/compare/compare-recording.ts';
import { heardFromChunks } from '../../core/compare/hear.ts';
import { readHeardFile } from '../../core/compare/heard-file.ts';
import type { HeardMusic } from '../../core/compare/heard-music.ts';
import { looksPrepared } from '../../core/export/image-facts.ts';
import { chunksOfImage } from '../../core/export/image-song.ts';
import { FAULT_NAMES } from '../../core/midi/stream-fault.ts';
import { UnreadableSong } from '../../core/smf/unreadable-song.ts';
import { readImageFile } from '../../files/image-file.ts';
import { loadSong } from '../../files/load-song.ts';
import { openSongFile } from '../../files/open-song.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { addOptions } from '../options/add-options.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import { boardOf } from '../options/named-board.ts';
import { jsonText } from '../output/json-text.ts';
import { EXIT } from '../trouble.ts';
import { printComparison } from './print-comparison.ts';

type CompareFlags = FlagsOf<'compare'>;

/** `wirepit compare <song> <heard>`. */
export function registerCompare(program: Command): void {
  const compare = program
    .command('compare')
    .description('say whether a recording is the song as written, and if not, why not')
    .argument('<song>', 'the song file')
    .argument(
      '<heard>',
      'what was heard: a text log, a file port’s record, a recorded .mid, a prepared song, or plain bytes',
    )
    .addHelpText(
      'after',
      '\nExit code: 0 the same, 1 it differs or is not all of the song, 2 one of them cannot be read.',
    );
  addOptions(compare, 'compare').action((song: string, heard: string, flags: CompareFlags) =>
    runCompare(song, heard, flags),
  );
}

async function runCompare(songPath: string, heardPath: string, flags: CompareFlags): Promise<void> {
  const { timeline } = loadSong(songPath, undefined, flags.songPort);
  const { music: heard, expected } = hear(heardPath, await boardOf(flags));
  if (timeline.columns.count === 0)
    throw new Refusal('there is no note in it', songPath, 'name the song that was played');
  if (heard.messages === 0) throw new Refusal('there is no MIDI message in it', heardPath, 'record it again');
  const document = compareRecording(
    timeline,
    heard,
    { song: songPath, heard: heardPath, faults: FAULT_NAMES },
    { withinMicros: flags.within * 1000, expected },
  );
  process.exitCode = document.verdict === 'same' ? EXIT.done : EXIT.problems;
  if (flags.json) {
    process.stdout.write(`${jsonText(document)}\n`);
    return;
  }
  printComparison(document, timeline, flags.ascii);
}

interface Heard {
  readonly music: HeardMusic;
  /** Causes that are no fault in such a file. */
  readonly expected: readonly CauseCode[];
}

/** A prepared song is heard as its machine would play it; where a board is named, it must be one, and for it. */
function hear(path: string, board: Board | undefined): Heard {
  const { bytes } = openSongFile(path);
  if (board !== undefined || looksPrepared(bytes))
    return {
      music: heardFromChunks(chunksOfImage(readImageFile(path, bytes, board).played)),
      expected: ['timer-tick'],
    };
  try {
    const heard = readHeardFile(bytes);
    if (heard.kind === 'heard') return { music: heard.music, expected: [] };
    throw new Refusal(
      'this line is no record of bytes',
      `${path}:${heard.line}`,
      'take the line out, or record it again',
    );
  } catch (error) {
    if (!(error instanceof UnreadableSong)) throw error;
    throw new Refusal(error.reason, `${path}, byte ${error.offset}`, error.nextStep);
  }
}
