import type { BarDifferences } from './bar-differences.ts';
import type { CauseCode } from './cause.ts';
import { CAUSE_CODES } from './cause.ts';
import type { ComparisonDocument } from './comparison-document.ts';
import { MOST_LINES } from './most-lines.ts';
import { NO_SYSEX, type SysExDocument } from './sysex-document.ts';

type Counts = ComparisonDocument['notes'];
type Cause = ComparisonDocument['causes'][number];
type State = ComparisonDocument['state'][number];
type Hanging = ComparisonDocument['hanging'][number];

const NO_NOTES: Counts = {
  song: 0,
  heard: 0,
  matched: 0,
  missing: 0,
  added: 0,
  changed: 0,
  late: 0,
  unheard: 0,
};

/**
 * Parts of a recording that are judged for good: their counts, causes and first differences, which take no more room however
 * many parts there are.
 */
export class SettledParts {
  parts = 0;
  #notes = NO_NOTES;
  #offs = { missing: 0, added: 0 };
  #faults: Readonly<Record<string, number>> = {};
  #sysEx = NO_SYSEX;
  #maxMicros = 0;
  #heldUpNotes = 0;
  #span: ComparisonDocument['span'] | undefined;
  readonly #bars = new Map<number, BarDifferences>();
  readonly #causes = new Map<CauseCode, Cause>();
  readonly #state = new Map<string, State>();
  readonly #hanging = new Map<string, Hanging>();
  readonly #differences: ComparisonDocument['differences'][number][] = [];

  get notes(): Counts {
    return this.#notes;
  }

  /** @param causes those of the part that are sure */
  add(part: ComparisonDocument, causes: ComparisonDocument['causes']): void {
    const whole = this.with({ ...part, causes });
    this.parts += 1;
    this.#notes = whole.notes;
    this.#offs = whole.offs;
    this.#faults = whole.faults;
    this.#sysEx = whole.sysEx;
    this.#span = whole.span;
    this.#maxMicros = whole.lateness?.maxMicros ?? this.#maxMicros;
    this.#heldUpNotes = whole.standstills.notes;
    for (const one of whole.bars) this.#bars.set(one.bar, one);
    for (const one of whole.causes) this.#causes.set(one.code, { seenIn: 1, part: 1, ...one });
    for (const one of whole.state) this.#state.set(stateKey(one), one);
    for (const one of whole.hanging) this.#hanging.set(`${one.channel}:${one.key}`, one);
    this.#differences.push(...whole.differences.slice(this.#differences.length));
  }

  /** What could not be laid beside the song: its notes are added, and not listed; its faults are counted. */
  addUnplaced(notes: number, faults: ComparisonDocument['faults']): void {
    this.#faults = sumOfCounts(this.#faults, faults);
    this.#notes = { ...this.#notes, heard: this.#notes.heard + notes, added: this.#notes.added + notes };
    this.parts += 1;
  }

  /** All parts together with one that follows them. Clock, law, lateness and standstills are of that one, the latest note is of all. */
  with(part: ComparisonDocument): ComparisonDocument {
    if (this.parts === 0) return part;
    const bars = new Map(this.#bars);
    for (const one of part.bars) bars.set(one.bar, sumOfBar(bars.get(one.bar), one));
    const causes = new Map(this.#causes);
    for (const one of part.causes) {
      const seenIn = 1 + (causes.get(one.code)?.seenIn ?? 0);
      causes.set(one.code, { ...one, seenIn, part: this.parts + 1 });
    }
    const state = new Map(this.#state);
    for (const one of part.state) {
      const before = state.get(stateKey(one));
      state.set(stateKey(one), before ? { ...before, notes: before.notes + one.notes } : one);
    }
    const hanging = new Map(this.#hanging);
    for (const one of part.hanging) hanging.set(`${one.channel}:${one.key}`, one);
    const notes = sumOfCounts(this.#notes, part.notes);
    const offs = {
      missing: this.#offs.missing + part.offs.missing,
      added: this.#offs.added + part.offs.added,
    };
    const faults = sumOfCounts(this.#faults, part.faults);
    const sysEx = sumOfSysEx(this.#sysEx, part.sysEx);
    const isSame =
      part.verdict !== 'differs' &&
      notes.missing + notes.added + notes.changed + notes.late + offs.missing + state.size + hanging.size ===
        0 &&
      causes.size + sysEx.differences.length === 0 &&
      Object.keys(faults).length === 0;
    return {
      ...part,
      parts: this.parts + 1,
      verdict: !isSame ? 'differs' : notes.unheard > 0 ? 'part' : 'same',
      isTheSong: part.isTheSong || notes.matched > LEAST_SHARE * Math.min(notes.song, notes.heard),
      notes,
      offs,
      faults,
      sysEx,
      span: {
        ...part.span,
        ...(this.#span && { fromBar: this.#span.fromBar, firstBar: this.#span.firstBar }),
      },
      lateness: part.lateness && {
        ...part.lateness,
        maxMicros: Math.max(part.lateness.maxMicros, this.#maxMicros),
      },
      standstills: { ...part.standstills, notes: this.#heldUpNotes + part.standstills.notes },
      state: [...state.values()],
      causes: CAUSE_CODES.flatMap((code) => causes.get(code) ?? []),
      bars: [...bars.values()].sort((a, b) => a.bar - b.bar),
      hanging: [...hanging.values()],
      differences: [...this.#differences, ...part.differences].slice(0, MOST_LINES),
    };
  }
}

/** As in `compareMusic`. */
const LEAST_SHARE = 0.3;

const stateKey = ({ channel, what }: State): string => `${channel} ${what}`;

function sumOfBar(a: BarDifferences | undefined, b: BarDifferences): BarDifferences {
  return a === undefined ? b : { ...sumOfCounts({ ...a }, { ...b }), bar: b.bar };
}

function sumOfSysEx({ differences, ...counts }: SysExDocument, more: SysExDocument): SysExDocument {
  const { differences: others, ...otherCounts } = more;
  return {
    ...sumOfCounts(counts, otherCounts),
    differences: [...differences, ...others].slice(0, MOST_LINES),
  };
}

function sumOfCounts<C extends { readonly [name: string]: number }>(a: C, b: C): C {
  const sum: Record<string, number> = { ...a };
  for (const [name, count] of Object.entries(b)) sum[name] = (sum[name] ?? 0) + count;
  return sum as C;
}
