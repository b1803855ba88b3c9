import { clock, counted } from '../report/figure-text.ts';
import type { ComparisonDocument, DifferenceLine } from './comparison-document.ts';
import { sysExLines } from './sysex-words.ts';

export interface RenderOptions {
  readonly ascii: boolean;
  /** Of the page, in cells; 60 at least. */
  readonly width: number;
  /** Number of the song's last bar. */
  readonly lastBar: number;
  readonly clean: (text: string) => string;
}

const MOST_DIFFERENCES = 10;
const MOST_BARS = 5;
const MOST_CAUSES = 6;
const LABEL = 11;

const LAW_WORDS: Readonly<Record<ComparisonDocument['clock']['law'], string>> = {
  'tempo-map': "the song's tempo map",
  'first-tempo': 'its first tempo throughout',
  'tempo-120': '120 quarters a minute throughout',
  'tracks-in-turn': 'one track after another',
  'no-timing': 'no law of time',
};

/** The comparison as a page of text, in lines. */
export function renderComparison(document: ComparisonDocument, options: RenderOptions): string[] {
  const { clean } = options;
  const { notes, offs, faults, hanging } = document;
  const lines = [`${clean(document.heard)} against ${clean(document.song)}`, verdictLine(document), ''];
  if (!document.isTheSong) return lines.slice(0, 2);
  const row = (label: string, words: string) => lines.push(...wrapped(label, words, options.width));
  if (document.times !== undefined)
    row('played', `${document.times} times, each judged by itself; time and lateness are of the last`);
  row(
    'notes',
    `${notes.song} written, ${notes.heard} heard: ${notes.missing} missing, ${notes.added} added, ${notes.changed} changed`,
  );
  const { fromBar, toBar, firstBar, lastBar } = document.span;
  if (fromBar > firstBar || toBar < lastBar)
    row('', `heard: bars ${fromBar} to ${toBar} of ${firstBar} to ${lastBar}`);
  if (notes.unheard > 0)
    row('', `${counted(notes.unheard, 'note')} before the recording begins or after it ends: not judged`);
  if (offs.missing > 0) row('releases', `${offs.missing} did not come`);
  for (const one of document.state.slice(0, 4)) {
    const got = one.heard === null ? 'not set' : String(one.heard);
    row(
      'sound',
      `channel ${one.channel}, ${one.what}: ${got} instead of ${one.written} for ${counted(one.notes, 'note')}, first in bar ${one.bar}`,
    );
  }
  if (document.state.length > 4)
    row('', `and ${document.state.length - 4} more of this kind (--json has all)`);
  for (const [n, line] of sysExLines(document.sysEx).entries()) row(n === 0 ? 'SysEx' : '', line);
  const broken = Object.values(faults).reduce((sum, count) => sum + count, 0);
  if (broken > 0)
    row(
      'stream',
      `${counted(broken, 'fault')}: ${Object.entries(faults)
        .map(([name, count]) => `${name} ${count}`)
        .join(', ')}`,
    );
  if (hanging.length > 0)
    row('hanging', `${hanging.length} ${hanging.length === 1 ? 'key' : 'keys'} at the end`);
  row('time', timeWords(document));
  if (document.lateness !== null) row('lateness', latenessWords(document.lateness, notes.late));
  if (document.standstills.count > 0) row('', standstillsWords(document.standstills));
  lines.push('', ...causeLines(document, options.width));
  if (document.bars.length > 0) lines.push('', ...stripLines(document, options));
  if (document.differences.length > 0) {
    lines.push('', 'First differences:');
    for (const one of document.differences.slice(0, MOST_DIFFERENCES))
      lines.push(`  ${differenceWords(one)}`);
    const more =
      notes.missing + notes.added + notes.changed - Math.min(MOST_DIFFERENCES, document.differences.length);
    if (more > 0) lines.push(`  and ${more} more`);
  }
  if (document.lateness !== null && document.verdict === 'differs')
    lines.push('', ...histogramLines(document.lateness.histogram, options));
  return lines;
}

function verdictLine({ isTheSong, verdict, notes }: ComparisonDocument): string {
  if (!isTheSong && notes.heard === 0) return 'No note was heard: of the song nothing can be said.';
  if (!isTheSong)
    return `This is not the song: of ${notes.song} notes written and ${notes.heard} heard ${notes.matched} could be one.`;
  if (verdict === 'part') return 'The music as written, as far as it was heard: that is not all of it.';
  return verdict === 'same' ? 'Same: the music as written.' : 'Differs.';
}

function timeWords({
  clock: { ppm, ppmUncertainty, law, lostPerMessageMicros },
  lateness,
}: ComparisonDocument): string {
  if (lateness === null) return LAW_WORDS[law];
  if (ppm === null) {
    const doubt = ppmUncertainty === null ? '' : ` (± ${Math.round(ppmUncertainty)} ppm)`;
    return `by ${LAW_WORDS[law]}; too little to tell the clock${doubt}`;
  }
  const sign = ppm > 0 ? '+' : '';
  const lost =
    lostPerMessageMicros > 0 ? `, ${(lostPerMessageMicros / 1000).toFixed(2)} ms lost with each message` : '';
  return `by ${LAW_WORDS[law]}; clock ${sign}${ppm} ± ${ppmUncertainty} ppm (+ is slow)${lost}`;
}

function latenessWords(lateness: NonNullable<ComparisonDocument['lateness']>, late: number): string {
  const ms = (micros: number) => `${(micros / 1000).toFixed(1)} ms`;
  const count = late > 0 ? `; ${late} ${late === 1 ? 'note counts' : 'notes count'} as late` : '';
  return `half within ${ms(lateness.p50Micros)}, 99 % within ${ms(lateness.p99Micros)}, latest ${ms(lateness.maxMicros)}; the wire at its best ${ms(lateness.boundMaxMicros)}${count}`;
}

function standstillsWords({ count, longestMicros, notes }: ComparisonDocument['standstills']): string {
  const times = `wirepit itself stood still ${counted(count, 'time')}, ${(longestMicros / 1000).toFixed(1)} ms at the longest`;
  return `${times}: the lateness of ${counted(notes, 'note')} heard then is not known and not counted`;
}

function causeLines(document: ComparisonDocument, width: number): string[] {
  const { causes, verdict } = document;
  if (causes.length === 0) {
    return verdict !== 'differs' ? [] : ['Why: that cannot be told from this recording.'];
  }
  const lines = ['Why:'];
  for (const one of causes.slice(0, MOST_CAUSES)) {
    lines.push(
      ...wrapped('  -', one.text, width, 4),
      ...wrapped('', `${seenWords(one, document)}${one.evidence}`, width, 4),
      ...wrapped('', `Look at: ${one.look}`, width, 4),
    );
  }
  return lines;
}

/** In how many parts it is seen, and of which of them the evidence is; nothing where there is one part. */
function seenWords(
  { seenIn, part }: ComparisonDocument['causes'][number],
  { parts, times }: ComparisonDocument,
): string {
  if (seenIn === undefined) return '';
  const one = times === undefined ? 'part' : 'time';
  return `in ${seenIn} of ${parts} ${one}s; in ${one} ${part} ${seenIn > 1 ? '(the last of them) ' : ''}`;
}

/** What is missing, added and late over the song, one cell for some bars; then the worst bars. */
function stripLines({ bars }: ComparisonDocument, { ascii, width, lastBar }: RenderOptions): string[] {
  const cells = Math.max(10, Math.min(lastBar, width - LABEL - 2));
  const steps = ascii ? [' ', '.', ':', '|', '#'] : [' ', '▂', '▄', '▆', '█'];
  const lines = [`Bars 1 to ${lastBar}:`];
  for (const kind of ['missing', 'added', 'changed', 'late'] as const) {
    const sums = new Array<number>(cells).fill(0);
    for (const one of bars)
      sums[Math.min(cells - 1, Math.floor(((one.bar - 1) * cells) / lastBar))]! += one[kind];
    const most = Math.max(...sums);
    if (most === 0) continue;
    const strip = sums
      .map((sum) => steps[sum === 0 ? 0 : Math.max(1, Math.round((4 * sum) / most))])
      .join('');
    lines.push(`  ${kind.padEnd(LABEL - 2)}${strip.trimEnd()}`);
  }
  const total = (one: (typeof bars)[number]) => one.missing + one.added + one.changed + one.late;
  const worst = bars.toSorted((a, b) => total(b) - total(a)).slice(0, MOST_BARS);
  lines.push(`  worst    ${worst.map((one) => `bar ${one.bar} (${total(one)})`).join(', ')}`);
  return lines;
}

function differenceWords({ kind, bar, beat, channel, note, seconds, heard }: DifferenceLine): string {
  const where = `${bar}:${beat} (${clock(seconds)})`.padEnd(16);
  const came =
    kind === 'changed' ? ` came as ${heard}` : kind === 'missing' ? ' is missing' : ' is not in the song';
  return `${where} channel ${channel}, ${note}${came}`;
}

function histogramLines(
  { binMicros, counts }: NonNullable<ComparisonDocument['lateness']>['histogram'],
  { ascii, width }: RenderOptions,
): string[] {
  const last = counts.findLastIndex((count) => count > 0);
  const most = Math.max(...counts);
  const lines = ['How late, and how many notes:'];
  for (let bin = 0; bin <= last; bin += 1) {
    const count = counts[bin]!;
    const from = ((bin * binMicros) / 1000).toFixed(binMicros < 1000 ? 1 : 0);
    const label = `${bin === counts.length - 1 ? '>' : ''}${from} ms`.padStart(LABEL - 1);
    const room = Math.max(10, width - LABEL - 8);
    const bar = (ascii ? '#' : '▇').repeat(count === 0 ? 0 : Math.max(1, Math.round((room * count) / most)));
    lines.push(`${label} ${bar} ${count}`.trimEnd());
  }
  return lines;
}

/** A label and words that go on below themselves. */
function wrapped(label: string, words: string, width: number, indent = LABEL): string[] {
  const lines: string[] = [];
  let line = label.padEnd(indent);
  let isEmpty = true;
  for (const word of words.split(' ')) {
    if (!isEmpty && line.length + 1 + word.length > width) {
      lines.push(line);
      line = ''.padEnd(indent);
      isEmpty = true;
    }
    line += isEmpty ? word : ` ${word}`;
    isEmpty = false;
  }
  return [...lines, line];
}
