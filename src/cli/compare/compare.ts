import type { Command } from 'commander';
import { compareMusic } from '../../core/compare/compare-music.ts';
import { comparisonDocument } from '../../core/compare/comparison-document.ts';
import { readHeardFile } from '../../core/compare/heard-file.ts';
import type { HeardMusic } from '../../core/compare/heard-music.ts';
import { renderComparison } from '../../core/compare/render-comparison.ts';
import { FAULT_NAMES } from '../../core/midi/stream-fault.ts';
import { UnreadableSong } from '../../core/smf/unreadable-song.ts';
import { loadSong } from '../../files/load-song.ts';
import { openSongFile } from '../../files/open-song.ts';
import { cleanText } from '../../screen/format/text-cleaning.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { addOptions } from '../options/add-options.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import { jsonText } from '../output/json-text.ts';
import { EXIT } from '../trouble.ts';

type CompareFlags = FlagsOf<'compare'>;

const NARROWEST = 60;
const WIDEST = 110;

/** `wirepit compare <song> <heard>`. */
export function registerCompare(program: Command): void {
  const compare = program
    .command('compare')
    .description('say whether a recording is the song as written, and if not, why not')
    .argument('<song>', 'the song file')
    .argument('<heard>', 'what was heard: a text log, a file port’s record, a recorded .mid, or plain bytes')
    .addHelpText('after', '\nExit code: 0 the same, 1 it differs, 2 one of them cannot be read.');
  addOptions(compare, 'compare').action((song: string, heard: string, flags: CompareFlags) =>
    runCompare(song, heard, flags),
  );
}

function runCompare(songPath: string, heardPath: string, flags: CompareFlags): void {
  const { timeline } = loadSong(songPath);
  const heard = hear(heardPath);
  if (timeline.columns.count === 0)
    throw new Refusal('there is no note in it', songPath, 'name the song that was played');
  if (heard.messages === 0) throw new Refusal('there is no MIDI message in it', heardPath, 'record it again');
  const comparison = compareMusic(timeline, heard, { withinMicros: flags.within * 1000 });
  const document = comparisonDocument(songPath, heardPath, timeline, comparison, FAULT_NAMES);
  process.exitCode = document.verdict === 'same' ? EXIT.done : EXIT.problems;
  if (flags.json) {
    process.stdout.write(`${jsonText(document)}\n`);
    return;
  }
  const width = Math.min(WIDEST, Math.max(NARROWEST, (process.stdout.columns ?? 81) - 1));
  const lastBar = timeline.meterMap.barBeatAt(timeline.endTick).bar;
  const lines = renderComparison(document, {
    ascii: flags.ascii ?? false,
    width,
    lastBar,
    clean: (text) => cleanText(text),
  });
  process.stdout.write(`${lines.join('\n')}\n`);
}

function hear(path: string): HeardMusic {
  const { bytes } = openSongFile(path);
  try {
    const heard = readHeardFile(bytes);
    if (heard.kind === 'heard') return heard.music;
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
