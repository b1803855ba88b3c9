import { millis, percent, counted as words } from '../report/figure-text.ts';
import { microsPerByte } from '../wire/wire-traits.ts';
import { damageOf } from './byte-damage.ts';
import type { LoopJudgement } from './judge-loop.ts';
import { LOOP_CODES, type LoopCode } from './loop-guide.ts';
import type { LoopSection } from './loop-plan.ts';

export interface LoopCause {
  readonly code: LoopCode;
  /** What is seen on this line, in one sentence without a full stop. */
  readonly evidence: string;
}

/** MIDI 1.0 Detailed Specification 4.2.1, p. 1. */
const BAUD_TOLERANCE_PPM = 10_000;
/** A UART that is further off reads nothing right: half a bit in ten is 5 %. What is slower leaves gaps. */
const FURTHEST_PPM = 50_000;
/** Notes further apart than this are heard as two (common practice, no source). */
const SLOW_MICROS = 15_000;
const UNSTEADY_MICROS = 10_000;
const QUEUE_MICROS = 10_000;
/** Sections in which every byte has time before the next one. */
const EASY: readonly LoopSection[] = ['alone', 'end'];

/** What is wrong with the line; none: it is sound. */
export function loopCauses(loop: LoopJudgement): LoopCause[] {
  const found: LoopCause[] = [];
  const say = (code: LoopCode, evidence: string): void => void found.push({ code, evidence });
  const { hearing, sending, sentBytes } = loop;
  if (sending?.isLost) say('port-lost', `after ${words(sentBytes, 'byte')}`);
  if (hearing.isLost) say('input-lost', `after ${words(hearing.bytes.length, 'byte')}`);
  if (hearing.bytes.length === 0) {
    if (sentBytes > 0) say('nothing-came', `${words(sentBytes, 'byte')} sent, none heard`);
  } else if (!loop.isThePattern) {
    say('not-the-pattern', `of ${words(hearing.bytes.length, 'byte')} next to none fits`);
  } else {
    damaged(loop, say);
    timed(loop, say);
  }
  const { lineErrors } = loop;
  if (lineErrors !== undefined && sum(Object.values(lineErrors)) > 0) {
    const { framing, parity, overrun, breaks } = lineErrors;
    say(
      'framing',
      `the system counted ${framing} framing, ${parity} parity, ${overrun} overrun errors, ${breaks} breaks`,
    );
  }
  return found.sort((a, b) => LOOP_CODES.indexOf(a.code) - LOOP_CODES.indexOf(b.code));
}

type Say = (code: LoopCode, evidence: string) => void;

function damaged(loop: LoopJudgement, say: Say): void {
  const { counted, damage, sentBytes } = loop;
  if (damageOf(counted) === 0) return;
  const addedBytes = damage.faults.filter(({ kind }) => kind === 'added');
  const isTwice = counted.added >= 0.8 * sentBytes && counted.lost <= 0.2 * sentBytes;
  if (isTwice) {
    say('comes-twice', `${counted.added} bytes more than the ${sentBytes} that were sent`);
    return;
  }
  if (counted.changed > 0) changed(loop, say);
  if (counted.lost > 0) lost(loop, say);
  if (counted.added === 0) return;
  const areRealTime = addedBytes.every(({ heard }) => heard === 0xf8 || heard === 0xfe);
  say(areRealTime ? 'others-send' : 'bytes-added', `${words(counted.added, 'byte')} too many`);
}

function changed({ counted }: LoopJudgement, say: Say): void {
  const flips = counted.bitsSet.map((set, bit) => set + counted.bitsCleared[bit]!);
  const most = flips.indexOf(Math.max(...flips));
  const share = flips[most]! / sum(flips);
  if (counted.changed >= 4 && share >= 0.9) {
    const [set, cleared] = [counted.bitsSet[most]!, counted.bitsCleared[most]!];
    const way = set === 0 ? ', always from 1 to 0' : cleared === 0 ? ', always from 0 to 1' : '';
    say('bit-stuck', `bit ${most} in ${flips[most]} of ${words(counted.changed, 'changed byte')}${way}`);
    return;
  }
  const which = flips.flatMap((count, bit) => (count === 0 ? [] : [`bit ${bit} ${count}×`]));
  say('bits-changed', `${words(counted.changed, 'byte')}: ${which.join(', ')}`);
}

function lost(loop: LoopJudgement, say: Say): void {
  const { counted, damage, sections, sentBytes, isReEncoded } = loop;
  const often = `${words(counted.lost, 'byte')} of ${sentBytes}, one in ${Math.round(sentBytes / counted.lost)}`;
  const places = damage.faults.filter(({ kind }) => kind === 'lost');
  const lostIn = sections.filter((one) => one.lost > 0).map(({ section }) => section);
  const areRealTime = places.every(({ sent }) => (sent ?? 0) >= 0xf8);
  if (areRealTime && !isReEncoded) {
    const values = [...new Set(places.map(({ sent }) => sent!.toString(16).toUpperCase()))].sort();
    say('real-time-filtered', `${often}: ${values.join(', ')}`);
  } else if (lostIn.every((section) => section === 'sysex')) {
    say('long-sysex-cut', often);
  } else if (counted.lost >= 8 && !lostIn.some((section) => EASY.includes(section)) && isClustered(places)) {
    say('buffer-overrun', `${often}, in runs, and none where each message has time`);
  } else say('bytes-lost', `${often}, in ${lostIn.join(', ')}`);
}

/** A full buffer loses several bytes in a row; a bad line one here and there. */
function isClustered(places: readonly { readonly place: number }[]): boolean {
  const beginnings = places.filter(({ place }, n) => n === 0 || place - places[n - 1]!.place > 8);
  return places.length >= 4 * beginnings.length;
}

function timed(loop: LoopJudgement, say: Say): void {
  const { rate, latency, queue, wire } = loop;
  const ppm = rate?.ppm ?? 0;
  const offset = `${(Math.abs(ppm) / 1e4).toFixed(2)} % ${ppm < 0 ? 'below' : 'above'} ${wire.baud}`;
  // As long as it may still be within the tolerance, nobody is accused.
  const sure = Math.abs(ppm) - (1e6 * (rate?.baudUncertainty ?? 0)) / (rate?.baud ?? 1);
  if (sure > BAUD_TOLERANCE_PPM && Math.abs(ppm) <= FURTHEST_PPM) {
    say('baud-off', `${rate!.baud!.toFixed(0)} ± ${rate!.baudUncertainty!.toFixed(0)} baud, ${offset}`);
  } else if (ppm < -FURTHEST_PPM) {
    const share = microsPerByte(wire) / rate!.byteMicros;
    say('gaps', `a byte every ${rate!.byteMicros.toFixed(0)} µs: ${percent(share)} of what the wire carries`);
  }
  if (queue !== undefined && queue.beyondP95Micros > QUEUE_MICROS) {
    say('queues', `one byte in twenty waits ${millis(queue.beyondP95Micros)} and more`);
  }
  if (latency === undefined) return;
  const slow = (latency.p50Micros ?? 0) - latency.wireMicros;
  if (slow > SLOW_MICROS) say('slow', `${millis(slow)} beside its own time on the wire`);
  if (latency.spreadMicros > UNSTEADY_MICROS) say('unsteady', `by ${millis(latency.spreadMicros)}`);
}

const sum = (values: readonly number[]) => values.reduce((total, one) => total + one, 0);
