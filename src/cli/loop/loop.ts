import { setTimeout as after } from 'node:timers/promises';
import type { Command } from 'commander';
import type { LoopJudgement } from '../../core/loop/judge-loop.ts';
import { loopDocument } from '../../core/loop/loop-document.ts';
import { renderLoop } from '../../core/loop/render-loop.ts';
import { installWaysOut } from '../../engine/watch/ways-out.ts';
import { type LoopOptions, startLoop } from '../../loop/run-loop.ts';
import { cleanText } from '../../screen/format/text-cleaning.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { addOptions } from '../options/add-options.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import { jsonText } from '../output/json-text.ts';
import { printReport } from '../output/print-report.ts';
import { EXIT, troubleOf } from '../trouble.ts';

type LoopFlags = FlagsOf<'loop'>;

const NARROWEST = 60;
const WIDEST = 100;
/** Time to read the caution and to reach the volume, or Ctrl-C. */
const CAUTION_MS = 3000;

/** `wirepit loop --port <out> --from <in>`. */
export function registerLoop(program: Command): void {
  const loop = program
    .command('loop')
    .description('say whether an interface delivers every byte, how late, and at which baud rate')
    .addHelpText(
      'after',
      '\nAn instrument on the line will play, change program and be reset: turn its volume down, unplug it, or use --quiet.' +
        '\nExit code: 0 sound, 1 faulty, 2 a port cannot be used.',
    );
  addOptions(loop, 'loop').action((flags: LoopFlags) => runLoop(flags));
}

async function runLoop(flags: LoopFlags): Promise<void> {
  const options = loopOptionsOf(flags);
  const run = await startLoop({ ...options, caution: () => caution(options) });
  let reported: Promise<void> | undefined;
  /** A signal ends the process and the loop at once: whichever comes first reports. */
  const report = (loop: LoopJudgement): Promise<void> => {
    reported ??= printReport(reportOf(flags, options, loop, run.whyNoLineErrors));
    return reported;
  };
  const removeWaysOut = installWaysOut({
    quit: async () => {
      await run.quit();
      if (options.port === undefined) await report(await run.done);
    },
    exit: (code) => process.exit(code),
    report: (error) => process.stderr.write(`${troubleOf(error, false).line}\n`),
  });
  try {
    await report(await run.done);
  } finally {
    removeWaysOut();
  }
}

async function caution({ port, quiet }: LoopOptions): Promise<void> {
  const say = (line: string): void => void process.stderr.write(`${line}\n`);
  if (port === undefined) {
    say('hearing; start loop --send at the other end. Ctrl-C ends.');
    return;
  }
  const what = quiet ? 'change program and be reset' : 'play, change program and be reset';
  say(`Caution: an instrument on this line will ${what}.`);
  say('Volume down, or unplug it; mind headphones. Ctrl-C ends in silence.');
  if (quiet) return;
  say('--quiet sends the pattern without notes.');
  if (process.stderr.isTTY) await after(CAUTION_MS);
}

function reportOf(
  flags: LoopFlags,
  options: LoopOptions,
  loop: LoopJudgement,
  whyNoLineErrors: string | undefined,
): string {
  const document = loopDocument({ port: options.port, from: options.from }, loop);
  process.exitCode ??= document.verdict === 'faulty' ? EXIT.problems : EXIT.done;
  if (flags.json) return `${jsonText(document)}\n`;
  const width = Math.min(WIDEST, Math.max(NARROWEST, (process.stdout.columns ?? 81) - 1));
  return `${renderLoop(document, width, whyNoLineErrors)
    .map((line) => cleanText(line))
    .join('\n')}\n`;
}

function loopOptionsOf(flags: LoopFlags): LoopOptions {
  const { from, send = false, hear = false, seconds } = flags;
  const [port, second] = flags.port;
  if (second !== undefined) throw new Refusal('one port is looked at at a time', 'loop', 'give --port once');
  if (send && hear) {
    throw new Refusal('--send and --hear are the two ends', 'loop', 'give one here, the other over there');
  }
  if (port === undefined && !hear) {
    throw new Refusal('no output is named', 'loop', 'name one with --port; `wirepit ports` lists them');
  }
  if (from === undefined && !send) {
    const next = hear ? '' : ', or --send where another machine hears';
    throw new Refusal('no input is named', 'loop', `name one with --from${next}`);
  }
  if ((send && from !== undefined) || (hear && port !== undefined)) {
    const [flag, needless] = send ? ['--send', '--from'] : ['--hear', '--port'];
    throw new Refusal(`${flag} takes no ${needless}`, 'loop', `leave ${flag} out to use both ends here`);
  }
  if (seconds !== undefined && !hear) {
    throw new Refusal('--seconds is for --hear', 'loop', 'leave it out: the pattern has its own length');
  }
  return {
    quiet: flags.quiet ?? false,
    rounds: flags.rounds,
    ...(port === undefined ? {} : { port }),
    ...(from === undefined ? {} : { from }),
    ...(seconds === undefined ? {} : { seconds }),
  };
}
