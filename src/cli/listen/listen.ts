import type { Command } from 'commander';
import { AgainstSong } from '../../listen/against-song.ts';
import type { ListenOptions } from '../../listen/listener.ts';
import { startWorkerListener } from '../../listen/worker-listener.ts';
import { refuseSharedFiles } from '../../ports/file/refuse-shared-files.ts';
import { inputPath, isStandardInput } from '../../ports/input-path.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { addOptions } from '../options/add-options.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import { fetchNamedInstruments } from '../options/instrument-names.ts';
import { canBeDrawnOn } from '../output/bare-terminal.ts';
import { jsonText } from '../output/json-text.ts';
import { troubleTeller } from '../output/tell-troubles.ts';
import { judgedAgainst } from './judged-against.ts';
import { listenHeadless } from './listen-headless.ts';
import { listenReport } from './listen-report.ts';

/** Given for certain once it is looked at: see `withInput`. */
type ListenFlags = FlagsOf<'listen'> & { readonly from: string };

/** `wirepit listen --from <port>`. */
export function registerListen(program: Command): void {
  const listening = program
    .command('listen')
    .description('watch what another machine sends: lanes, wire, stuck notes and protocol faults');
  addOptions(listening, 'listen').action((flags: FlagsOf<'listen'>) => listen(flags));
}

async function listen(given: FlagsOf<'listen'>): Promise<void> {
  const flags = withInput(given);
  await fetchNamedInstruments([
    { ...(flags.instrument === undefined ? {} : { instrument: flags.instrument }) },
  ]);
  // What is refused is refused before a thread is begun.
  const own = listenOptionsOf(flags);
  const against = againstOf(flags);
  const options = { ...own, ...(against === undefined ? {} : { tap: against.tap }) };
  // Standard input cannot be both the keyboard and the wire.
  const keyboard = !isStandardInput(flags.from) && process.stdin.isTTY;
  if (flags.headless || flags.clock === 'virtual' || !keyboard || !process.stdout.isTTY || !canBeDrawnOn()) {
    await listenHeadless(await startWorkerListener(options), flags, against);
    return;
  }
  // Ink and React take a quarter of a second to load: only the screen waits for them.
  const { listenOnScreen } = await import('./listen-screen.ts');
  const listener = await listenOnScreen(options, flags, against);
  troubleTeller(listener)();
  const comparison = await judgedAgainst(against, flags);
  if (flags.json) {
    const report = listenReport(
      flags.from,
      listener.observed,
      listener.listen,
      listener.nowMicros(),
      flags.instrument,
      comparison,
    );
    process.stdout.write(`${jsonText(report)}\n`);
  }
}

function againstOf(flags: ListenFlags): AgainstSong | undefined {
  if (flags.against === undefined) return undefined;
  return new AgainstSong({
    songPath: flags.against,
    songPort: flags.songPort,
    heardName: flags.from,
    withinMicros: flags.within * 1000,
  });
}

/** Not left to the parser: that would tell of a missing `--from` before it tells of a `--frm`. */
function withInput(flags: FlagsOf<'listen'>): ListenFlags {
  if (flags.from === undefined) {
    throw new Refusal('no input is named', 'listen', 'name one with --from; `wirepit ports` lists them');
  }
  if (flags.thru === undefined && (flags.mute ?? flags.solo) !== undefined) {
    const flag = flags.mute === undefined ? '--solo' : '--mute';
    throw new Refusal(
      `${flag} has nothing to hold back`,
      'listen',
      'give --thru and a port to pass it on to',
    );
  }
  return flags as ListenFlags;
}

function listenOptionsOf(flags: ListenFlags): ListenOptions {
  refuseSharedFiles({
    outputs: flags.thru === undefined ? [] : [flags.thru],
    record: flags.record,
    sources: [inputPath(flags.from), ...(flags.against === undefined ? [] : [flags.against])],
  });
  return {
    from: flags.from,
    ...(flags.thru === undefined ? {} : { thru: flags.thru }),
    ...(flags.record === undefined ? {} : { recordPath: flags.record }),
    ...(flags.replace ? { replace: true } : {}),
    mute: flags.mute ?? [],
    solo: flags.solo ?? [],
    allowSysEx: flags.allowSysex ?? false,
    waitForDevice: flags.wait ?? false,
    pace: flags.clock === 'virtual' ? 'at-once' : 'wire',
  };
}
