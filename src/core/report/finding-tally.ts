import type { Timeline } from '../timeline/timeline.ts';
import {
  INSTRUMENT_FINDINGS,
  type InstrumentFinding,
  type InstrumentFindingCode,
} from './instrument-finding.ts';
import { placeOfRow } from './place-of.ts';

interface Tally {
  readonly code: InstrumentFindingCode;
  /** 0–15, ascending; none where it concerns no channel above others. */
  readonly channels: number[];
  firstRow: number;
  readonly details: Map<string, number>;
  count: number;
}

/** Details named before the rest is only counted. */
const MOST_DETAILS = 5;

/** Counts what an instrument cannot do, by kind and channel, and says it in a sentence each. */
export class FindingTally {
  readonly #tallies = new Map<string, Tally>();

  /** @param channel 0–15, −1 for none @param detail what exactly: a program, a key, a controller */
  add(code: InstrumentFindingCode, channel: number, row: number, detail: string, count = 1): void {
    const key = `${code} ${channel}`;
    let tally = this.#tallies.get(key);
    if (tally === undefined) {
      tally = { code, channels: channel < 0 ? [] : [channel], firstRow: row, details: new Map(), count: 0 };
      this.#tallies.set(key, tally);
    }
    tally.count += count;
    if (detail !== '') tally.details.set(detail, (tally.details.get(detail) ?? 0) + count);
  }

  /** @param notes of the whole song */
  findings(timeline: Timeline, notes: number): InstrumentFinding[] {
    const order = Object.keys(INSTRUMENT_FINDINGS);
    return alikeTogether([...this.#tallies.values()])
      .sort(
        (a, b) =>
          order.indexOf(a.code) - order.indexOf(b.code) || (a.channels[0] ?? -1) - (b.channels[0] ?? -1),
      )
      .map((tally) => findingOf(tally, timeline, notes));
  }
}

/** Channels of which the very same is said are told of together. */
function alikeTogether(tallies: readonly Tally[]): Tally[] {
  const together = new Map<string, Tally>();
  for (const tally of [...tallies].sort((a, b) => (a.channels[0] ?? -1) - (b.channels[0] ?? -1))) {
    const key = [tally.code, ...[...tally.details.keys()].sort()].join('\n');
    const first = together.get(key);
    // What concerns no channel above others stays by itself.
    if (first === undefined || first.channels.length === 0) {
      together.set(key, tally);
      if (first !== undefined) together.set(`${key}\n`, first);
      continue;
    }
    first.channels.push(...tally.channels);
    first.count += tally.count;
    first.firstRow = Math.min(first.firstRow, tally.firstRow);
  }
  return [...together.values()];
}

function findingOf(
  { code, channels, firstRow, details, count }: Tally,
  timeline: Timeline,
  notes: number,
): InstrumentFinding {
  const { says, counts } = INSTRUMENT_FINDINGS[code];
  const at = placeOfRow(timeline, firstRow);
  const share = counts === 'notes' && notes > 0 ? count / notes : 0;
  const named = [...details].sort((a, b) => b[1] - a[1]).map(([detail]) => detail);
  const shown = named.slice(0, MOST_DETAILS).join(', ');
  const more = named.length > MOST_DETAILS ? ` and ${named.length - MOST_DETAILS} more` : '';
  const numbers = channels.map((channel) => channel + 1);
  const who =
    numbers.length === 0 ? '' : `${numbers.length === 1 ? 'Channel' : 'Channels'} ${numbers.join(', ')}: `;
  const sentence = `${who}${says}${shown === '' ? '' : ` ${shown}${more}`}`;
  const percent = share > 0 && share < 0.001 ? 'under 0.1' : (share * 100).toFixed(share < 0.1 ? 1 : 0);
  const much =
    counts === 'notes'
      ? `${count} ${count === 1 ? 'note' : 'notes'}, ${percent} %`
      : `${count} ${count === 1 ? 'message' : 'messages'}`;
  return {
    code,
    port: null,
    channels: numbers,
    at,
    count,
    share,
    text: `${sentence.charAt(0).toUpperCase()}${sentence.slice(1)} (${much}, from bar ${at.bar}, beat ${at.beat}).`,
  };
}
