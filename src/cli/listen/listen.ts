import { type Command, InvalidArgumentError, Option } from 'commander';
import type { ListenOptions } from '../../listen/listener.ts';
import { startWorkerListener } from '../../listen/worker-listener.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { channelsArgument } from '../options/channel-list.ts';
import { listenHeadless } from './listen-headless.ts';
import { listenReport } from './listen-report.ts';

export interface ListenFlags {
  readonly from: string;
  readonly thru?: string;
  readonly record?: string;
  readonly mute?: readonly number[];
  readonly solo?: readonly number[];
  readonly allowSysex?: boolean;
  readonly wait?: boolean;
  readonly clock: 'real' | 'virtual';
  readonly headless?: boolean;
  readonly json?: boolean;
  readonly seconds?: number;
  readonly stuckAfter: number;
  readonly ascii?: boolean;
  readonly background?: 'dark' | 'light';
  readonly mouse?: boolean;
}

/** `wirepit listen --from <port>`. */
export function registerListen(program: Command): void {
  program
    .command('listen')
    .description('watch what another machine sends: lanes, wire, stuck notes and protocol faults')
    .option('--from <port>', 'what to listen to (needed): hw:…, virtual:…, serial:…, raw:…, file:…, or stdin')
    .option('--thru <port>', 'pass it on to this port, less the notes of muted channels')
    .option('--record <file>', 'keep what came: .mid, or a text log under any other name')
    .option('--mute <channels>', 'channels whose notes --thru does not get, as in 1-4,10', channelsArgument)
    .option('--solo <channels>', 'only these channels, as in 1-4,10', channelsArgument)
    .option('--allow-sysex', 'let SysEx that is not universal pass to --thru')
    .option('--wait', 'start although a device is not there yet')
    .addOption(
      new Option('--clock <clock>', 'for file: real time, or as fast as possible')
        .choices(['real', 'virtual'])
        .default('real'),
    )
    .option('--headless', 'no screen: lines on standard error')
    .option('--json', 'print a report as one JSON object at the end (docs/listen-json.md)')
    .option('--seconds <n>', 'stop after so many seconds', seconds)
    .option('--stuck-after <seconds>', 'a note older than this counts as stuck', seconds, 10)
    .option('--ascii', 'no block characters')
    .addOption(
      new Option('--background <kind>', "the terminal's, where it is guessed wrong").choices([
        'dark',
        'light',
      ]),
    )
    .option('--mouse', 'clicks choose lanes, mute and solo (docs/keys.md)')
    .action((flags: Partial<ListenFlags>) => listen(flags));
}

async function listen(given: Partial<ListenFlags>): Promise<void> {
  const flags = withInput(given);
  const options = listenOptionsOf(flags);
  // Standard input cannot be both the keyboard and the wire.
  const keyboard = flags.from !== 'stdin' && flags.from !== '-' && process.stdin.isTTY;
  if (flags.headless || flags.clock === 'virtual' || !keyboard || !process.stdout.isTTY) {
    await listenHeadless(await startWorkerListener(options), flags);
    return;
  }
  // Ink and React take a quarter of a second to load: only the screen waits for them.
  const { listenOnScreen } = await import('./listen-screen.ts');
  const listener = await listenOnScreen(options, flags);
  if (flags.json) {
    const report = listenReport(flags.from, listener.observed, listener.listen, listener.nowMicros());
    process.stdout.write(`${JSON.stringify(report)}\n`);
  }
}

/** Not left to the parser: that would tell of a missing `--from` before it tells of a `--frm`. */
function withInput(flags: Partial<ListenFlags>): ListenFlags {
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
  return {
    from: flags.from,
    ...(flags.thru === undefined ? {} : { thru: flags.thru }),
    ...(flags.record === undefined ? {} : { recordPath: flags.record }),
    mute: flags.mute ?? [],
    solo: flags.solo ?? [],
    allowSysEx: flags.allowSysex ?? false,
    waitForDevice: flags.wait ?? false,
    pace: flags.clock === 'virtual' ? 'at-once' : 'wire',
  };
}

function seconds(text: string): number {
  const value = Number(text);
  if (!(value > 0 && value < 1e7)) throw new InvalidArgumentError('Write a number of seconds above 0.');
  return value;
}
