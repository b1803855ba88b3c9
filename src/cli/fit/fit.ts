import { existsSync, statSync } from 'node:fs';
import type { Command } from 'commander';
import { fitDocument } from '../../core/arrange/fit/fit-document.ts';
import { DEFAULT_KEEP, fitOrchestra } from '../../core/arrange/fit/fit-song.ts';
import { renderFit } from '../../core/report/render-fit.ts';
import { writeSong } from '../../core/smf/write-song.ts';
import { loadSong } from '../../files/load-song.ts';
import { openSongFile } from '../../files/open-song.ts';
import { writeSafely } from '../../files/write-safely.ts';
import { cleanText } from '../../screen/format/text-cleaning.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { addOptions } from '../options/add-options.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import { fetchNamedInstruments } from '../options/instrument-names.ts';
import { jsonText } from '../output/json-text.ts';
import { seatsToFit } from './seats-to-fit.ts';

type FitFlags = FlagsOf<'fit'>;

/** `wirepit fit <song> --out <file.mid>`. */
export function registerFit(program: Command): void {
  const fit = program
    .command('fit')
    .description('make a song fit what plays it: its programs, parts, keys and voices; written as a new file')
    .argument('<song>', 'a song file');
  addOptions(fit, 'fit').action((path: string, flags: FitFlags) => runFit(path, flags));
}

async function runFit(path: string, flags: FitFlags): Promise<void> {
  await fetchNamedInstruments([flags]);
  const seats = seatsToFit(flags, [], flags.map);
  const { out, keep = DEFAULT_KEEP } = flags;
  const { song, timeline, isDecided, changed } = loadSong(path, undefined, flags.songPort);
  if (out !== undefined) refuseToOverwrite(out, path, flags.replace ?? false);
  const fit = fitOrchestra(song, timeline, seats, keep);
  if (out !== undefined) {
    // A song that fits is written as its file has it; a prepared song has none of the kind.
    const asItIs = () => (isDecided || changed !== undefined ? writeSong(song) : openSongFile(path).bytes);
    writeSafely(out, fit.song === undefined ? asItIs() : writeSong(fit.song));
  }
  const document = fitDocument(path, timeline, keep, fit);
  const text = flags.json
    ? jsonText(document)
    : renderFit(document, { clean: (words) => cleanText(words), out }).join('\n');
  process.stdout.write(`${text}\n`);
}

/** The song itself is never written over; another file only with consent. */
function refuseToOverwrite(out: string, source: string, replace: boolean): void {
  if (!existsSync(out)) return;
  const [there, song] = [statSync(out), statSync(source)];
  if (there.dev === song.dev && there.ino === song.ino) {
    throw new Refusal(
      'this is the song itself',
      out,
      'give --out another name: a song is never written over',
    );
  }
  if (!there.isFile()) throw new Refusal('this is not a file', out, 'give --out the name of a file');
  if (!replace) throw new Refusal('there is a file of this name', out, 'choose another, or add --replace');
}
