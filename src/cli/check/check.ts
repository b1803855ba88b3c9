import type { Command } from 'commander';
import type { CheckWithStretches, FileCheck } from '../../check/check-file.ts';
import { checkMany } from '../../check/check-many.ts';
import { renderReport } from '../../core/report/render-report.ts';
import { type CheckLine, renderTable } from '../../core/report/render-table.ts';
import { MIDI_WIRE } from '../../core/wire/wire-traits.ts';
import type { Stretch } from '../../files/song-stretch.ts';
import { cleanText } from '../../screen/format/text-cleaning.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { addOptions } from '../options/add-options.ts';
import { checkOptionsOf } from '../options/check-options.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import { fetchNamedInstruments } from '../options/instrument-names.ts';
import { boardOf } from '../options/named-board.ts';
import { songSetOf } from '../options/song-set.ts';
import { jsonText } from '../output/json-text.ts';
import { forTerminal } from '../output/terminal-text.ts';
import { EXIT } from '../trouble.ts';
import { startProgress } from './check-progress.ts';
import { checkSet, isSet, type SetFlags, setLines } from './check-set.ts';

type CheckFlags = FlagsOf<'check'>;

const MOST_FINDINGS = 12;

/** `wirepit check <songs or folders…>`. */
export function registerCheck(program: Command): void {
  const check = program
    .command('check')
    .description('say what is in songs, and whether they fit the wire and the module, before they are played')
    .argument('<songs...>', 'song files or folders; or a set file (.toml)')
    .addHelpText('after', '\nExit code: 0 all fit, 1 there are problems, 2 a song cannot be read.');
  addOptions(check, 'check').action((paths: string[], flags: CheckFlags) => checkSongs(paths, flags));
}

async function checkSongs(named: readonly string[], flags: CheckFlags): Promise<void> {
  await fetchNamedInstruments([flags]);
  if (named.length === 1 && isSet(named[0]!)) return checkWholeSet(named[0]!, flags);
  const checks = await checkPaths(songSetOf(named).paths, flags);
  process.exitCode = exitCodeOf(checks);
  const [only] = checks;
  if (!flags.json && checks.length === 1 && only!.verdict === 'unreadable') {
    const { what, where, nextStep } = only!.error;
    throw new Refusal(what, where, nextStep);
  }
  const text = flags.json
    ? checks.map((check) => `${jsonText(check)}\n`).join('')
    : forTerminal(`${linesOf(checks, flags.ascii ?? false).join('\n')}\n`, process.stdout);
  process.stdout.write(text);
}

/** A set: its songs, each against its own instrument, and then the set as a whole. */
async function checkWholeSet(path: string, flags: CheckFlags): Promise<void> {
  const { checks, set } = await checkSet(path, flags, checkPaths);
  process.exitCode = exitCodeOf(checks);
  if (set.passedOver.length > 0) process.exitCode = Math.max(Number(process.exitCode), EXIT.problems);
  const ascii = flags.ascii ?? false;
  const text = flags.json
    ? [...checks, set].map((one) => `${jsonText(one)}\n`).join('')
    : forTerminal(`${[...tableOf(checks, ascii), ...setLines(set)].join('\n')}\n`, process.stdout);
  process.stdout.write(text);
}

async function checkPaths(
  paths: readonly string[],
  flags: SetFlags,
  stretches: readonly (readonly Stretch[])[] = [],
  told: (check: FileCheck, lengths: CheckWithStretches['stretches']) => void = () => {},
): Promise<FileCheck[]> {
  const ascii = flags.ascii ?? false;
  const progress = startProgress(paths.length, process.stderr, ascii);
  const runningStatus = flags.runningStatus ? 'ours' : 'device';
  const traits = { ...MIDI_WIRE, baud: flags.baud, runningStatus } as const;
  const checks = await checkMany(
    paths,
    checkOptionsOf(flags, traits, flags.voices),
    flags.jobs,
    (check, lengths) => {
      progress.step();
      told(check, lengths);
    },
    await boardOf(flags),
    stretches,
  );
  progress.end();
  return checks;
}

function linesOf(checks: readonly FileCheck[], ascii: boolean): string[] {
  const clean = (text: string) => cleanText(text);
  const [only] = checks;
  if (checks.length === 1 && only!.verdict !== 'unreadable') {
    return renderReport(only!, { ascii, clean, mostFindings: MOST_FINDINGS });
  }
  return tableOf(checks, ascii);
}

function tableOf(checks: readonly FileCheck[], ascii: boolean): string[] {
  const clean = (text: string) => cleanText(text);
  const lines = checks.map(
    (check): CheckLine =>
      check.verdict === 'unreadable'
        ? { kind: 'unreadable', file: check.file, reason: `${check.error.what}; ${check.error.nextStep}` }
        : { kind: 'checked', check },
  );
  return [...renderTable(lines, { ascii, clean }), '', summaryOf(checks)];
}

function summaryOf(checks: readonly FileCheck[]): string {
  const count = (verdict: FileCheck['verdict']) => checks.filter((check) => check.verdict === verdict).length;
  return `${checks.length} ${checks.length === 1 ? 'song' : 'songs'}: ${count('fits')} fit, ${count('fits-with-changes')} with changes, ${count('does-not-fit')} do not fit, ${count('unreadable')} unreadable`;
}

/** 0 all is well, 1 something is to be mended, 2 a song cannot be read. */
export function exitCodeOf(checks: readonly FileCheck[]): number {
  if (checks.some((check) => check.verdict === 'unreadable')) return EXIT.refused;
  const isWell = (check: FileCheck) => check.verdict === 'fits' && check.problems.length === 0;
  return checks.every(isWell) ? EXIT.done : EXIT.problems;
}
