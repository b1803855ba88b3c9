import type { ComparisonDocument } from '../../core/compare/comparison-document.ts';
import { LiveNews, liveWords } from '../../core/compare/live-words.ts';
import { faultsSince, Heard } from '../../core/observe/listen-state.ts';
import { installWaysOut } from '../../engine/watch/ways-out.ts';
import type { AgainstSong } from '../../listen/against-song.ts';
import type { Listener } from '../../listen/listener.ts';
import { listeningView } from '../../screen/listen/listening-view.ts';
import { PortWatch } from '../../screen/scene/port-watch.ts';
import { jsonText } from '../output/json-text.ts';
import { printReport } from '../output/print-report.ts';
import { troubleTeller } from '../output/tell-troubles.ts';
import { troubleOf } from '../trouble.ts';
import { judgedAgainst } from './judged-against.ts';
import { faultLine, listenLine, listenReport } from './listen-report.ts';

export interface HeadlessListenFlags {
  readonly from: string;
  readonly thru?: string;
  readonly instrument?: string;
  readonly json?: boolean;
  readonly ascii?: boolean;
  readonly seconds?: number;
  readonly clock: 'real' | 'virtual';
}

/** Listens without a screen: faults as they come and how it goes on standard error, the report on standard output. */
export async function listenHeadless(
  listener: Listener,
  flags: HeadlessListenFlags,
  against?: AgainstSong,
): Promise<void> {
  let reported: Promise<void> | undefined;
  /** A signal ends the process and the listener at once: whichever comes first reports. */
  const report = (): Promise<void> => {
    reported ??= judgedAgainst(against, flags).then((comparison) =>
      flags.json ? printReport(`${jsonText(reportOf(listener, flags, comparison))}\n`) : undefined,
    );
    return reported;
  };
  const removeWaysOut = installWaysOut({
    quit: async () => {
      await listener.close();
      await report();
    },
    exit: (code) => process.exit(code),
    report: (error) => process.stderr.write(`${troubleOf(error, false).line}\n`),
  });
  const say = (line: string): void => void process.stderr.write(`${line}\n`);
  let told = 0;
  const tellFaults = (): void => {
    const total = listener.listen.numbers[Heard.faults]!;
    const faults = faultsSince(listener.listen, told);
    for (const fault of faults.slice(0, LINES_AT_ONCE)) say(faultLine(fault));
    const unsaid = total - told - Math.min(faults.length, LINES_AT_ONCE);
    if (unsaid > 0) say(`… and ${unsaid} more faults`);
    told = total;
  };
  const tellTroubles = troubleTeller(listener);
  const ports = new PortWatch();
  const song = listeningView(flags.from, flags.thru === undefined);
  const tellPorts = (): void => {
    const { observed, listen } = listener;
    for (const line of ports.look({ observed, listen, song, nowMicros: now(listener, flags) })) say(line);
    tellTroubles();
  };
  const tell = (): void => {
    const line = listenLine(listener.observed, listener.listen, now(listener, flags));
    say(against === undefined ? line : `${line}  ${liveWords(against.view, against.timeline)[0]}`);
  };
  const news = new LiveNews();
  const tellNews = (): void => {
    if (against?.view !== undefined) for (const line of news.take(against.view)) say(line);
  };
  const timers = [
    setInterval(tellFaults, FAULTS_EVERY_MS),
    setInterval(tellPorts, FAULTS_EVERY_MS),
    setInterval(tellNews, FAULTS_EVERY_MS),
    setInterval(tell, STATUS_EVERY_MS),
  ];
  if (flags.seconds !== undefined) timers.push(setTimeout(() => void listener.close(), flags.seconds * 1000));
  const end = await listener.ended;
  for (const timer of timers) clearInterval(timer);
  tellFaults();
  tell();
  await listener.close();
  tellTroubles();
  removeWaysOut();
  if (end.kind === 'fault') throw end.error;
  await report();
}

function reportOf(listener: Listener, flags: HeadlessListenFlags, comparison?: ComparisonDocument) {
  const { observed, listen } = listener;
  return listenReport(flags.from, observed, listen, now(listener, flags), flags.instrument, comparison);
}

/** On the virtual clock time is what the input says. */
function now(listener: Listener, flags: HeadlessListenFlags): number {
  return flags.clock === 'virtual' ? listener.listen.numbers[Heard.lastMicros]! : listener.nowMicros();
}

const FAULTS_EVERY_MS = 200;
const STATUS_EVERY_MS = 5000;
/** A stream at the wrong baud rate is all faults: a log should stay readable. */
const LINES_AT_ONCE = 10;
