import { hexText } from '../midi/hex-text.ts';
import { counted, millis } from '../report/figure-text.ts';
import type { LoopDocument } from './loop-document.ts';

const LABEL = 10;
/** With one cause more the page still fits 24 lines. */
const MOST_FAULTS = 4;

/**
 * The loop as a page of text, in lines: the verdict first.
 * @param width in cells, 60 at least
 * @param whyNoLineErrors said where the system does not tell of framing
 */
export function renderLoop(document: LoopDocument, width: number, whyNoLineErrors?: string): string[] {
  const { bytes, bits, latency, queue, baud, causes, faults, lineErrors } = document;
  const lines = wrapped('', verdictOf(document), width);
  const row = (label: string, text: string) => lines.push(...wrapped(label, text, width));
  for (const { look } of causes.slice(0, 1)) row('', `look at: ${look}`);
  lines.push('');
  if (document.from === null) {
    row('bytes', `${bytes.sent} handed over, ${bytes.values} of 256 values`);
    if ((document.heldMicros ?? 0) > 1000) row('held up', `${millis(document.heldMicros!)} at most`);
    return lines;
  }
  const sums = `${bytes.lost} lost, ${bytes.changed} changed, ${bytes.added} added`;
  row('bytes', `${bytes.sent} sent, ${bytes.heard} heard: ${sums} (${bytes.values} of 256 values)`);
  if (bytes.reEncoded)
    row(' ', 'the interface encodes anew: counted by what the messages say, not by their bytes');
  if (bytes.changed > 0) row('bits', bitWords(bits));
  if (latency !== null) row('latency', latencyWords(latency));
  if (queue !== null) row('queue', queueWords(queue));
  row('baud', baudWords(baud, document.byteMicros));
  const told =
    lineErrors === null
      ? `not told${whyNoLineErrors === undefined ? '' : `: ${whyNoLineErrors}`}`
      : `${lineErrors.framing} framing, ${lineErrors.parity} parity, ${lineErrors.overrun} overrun, ${lineErrors.breaks} breaks`;
  row('framing', told);
  for (const { text, evidence, look } of causes.slice(1)) {
    lines.push('');
    row('also', `${text}: ${evidence}`);
    row('look at', look);
  }
  if (faults.length > 0) lines.push('', 'first differences', ...faults.slice(0, MOST_FAULTS).map(faultWords));
  return lines;
}

function verdictOf({ verdict, bytes, causes, baud }: LoopDocument): string {
  const [first] = causes;
  if (first !== undefined) return `faulty: ${first.text}: ${first.evidence}`;
  if (verdict === 'sent')
    return `sent: ${counted(bytes.sent, 'byte')} went out; the other end says how they came`;
  const rate = baud === null ? '' : `, ${baud.baud.toFixed(0)} ± ${baud.uncertainty.toFixed(0)} baud`;
  return `sound: all ${counted(bytes.sent, 'byte')} came as they were sent${rate}`;
}

function bitWords({ set, cleared }: LoopDocument['bits']): string {
  return Array.from({ length: 8 }, (_, bit) => bit)
    .filter((bit) => set[bit]! + cleared[bit]! > 0)
    .map((bit) => `bit ${bit}: 0 to 1 ${set[bit]}×, 1 to 0 ${cleared[bit]}×`)
    .join('; ');
}

function latencyWords(latency: NonNullable<LoopDocument['latency']>): string {
  const { p50Micros, minMicros, maxMicros, spreadMicros, wireMicros, count } = latency;
  const spread = `spread ${ms(spreadMicros)}`;
  if (p50Micros === null)
    return `${spread} over ${counted(count, 'message')}; the sender’s clock is not known here`;
  const itself =
    p50Micros < wireMicros
      ? `sooner than a wire brings the message (${ms(wireMicros)})`
      : `of it ${ms(wireMicros)} the message itself`;
  return `${ms(p50Micros)} (${ms(minMicros!)} to ${ms(maxMicros!)}), ${itself}; ${spread}`;
}

function queueWords({ longestMicros, beyondP95Micros, beyondMaxMicros }: NonNullable<LoopDocument['queue']>) {
  return `${ms(longestMicros)} at most from handing over to there; beyond what the wire needs ${ms(beyondP95Micros)} for one byte in twenty, ${ms(beyondMaxMicros)} at most`;
}

function baudWords(baud: LoopDocument['baud'], byteMicros: number | null): string {
  if (baud !== null) {
    const off = `${baud.ppm > 0 ? '+' : ''}${(baud.ppm / 1e4).toFixed(2)} %`;
    return `${baud.baud.toFixed(0)} ± ${baud.uncertainty.toFixed(0)} (${off}; MIDI 1.0 allows ± 1 %)`;
  }
  if (byteMicros === null) return 'cannot be told: too few bytes came without a gap';
  return `no wire holds the bytes up: one every ${byteMicros.toFixed(1)} µs`;
}

function faultWords({ kind, offset, section, sent, heard }: LoopDocument['faults'][number]): string {
  const [from, to] = [sent, heard].map((byte) => (byte === null ? '' : hexText([byte])));
  const words = { lost: `lost ${from}`, added: `added ${to}`, changed: `${from} became ${to}` }[kind];
  return `  byte ${String(offset).padStart(6)}  ${section.padEnd(9)}  ${words}`;
}

const ms = (micros: number) => `${(micros / 1000).toFixed(2)} ms`;

function wrapped(label: string, text: string, width: number): string[] {
  const indent = label === '' ? 0 : LABEL;
  const lines: string[] = [];
  let line = label.padEnd(indent);
  for (const word of text.split(' ')) {
    if (line.trim() !== '' && line.length + word.length + 1 > width) {
      lines.push(line);
      line = ' '.repeat(Math.max(indent, 2));
    }
    line += line === '' || line.endsWith(' ') ? word : ` ${word}`;
  }
  return [...lines, line];
}
