import type { Finding, Severity } from '../smf/finding.ts';

/** Everything timing and pairing may find. The text is a sentence; `_` stands for the place or the thing. */
export const TIMELINE_FINDINGS = {
  'patterns-in-sequence': ['note', 'Format 2: its _ patterns are played one after another.'],
  'song-too-long': [
    'problem',
    'The patterns together pass 4,294,967,295 ticks; what lies beyond is heaped there.',
  ],
  'tempo-zero': ['warning', 'A tempo of 0 at _ is ignored.'],
  'tempo-cut-short': ['warning', 'A tempo with too few bytes at _ is ignored.'],
  'tempo-without-effect': ['note', 'Ticks are SMPTE frames, so the tempo at _ has no effect.'],
  'tempo-outside-first-track': ['note', 'The tempo at _ stands in track _; it is obeyed.'],
  'meter-absurd': ['warning', 'A time signature at _ cannot be read and is ignored.'],
  'key-signature-absurd': ['note', 'A key signature at _ cannot be read and is ignored.'],
  'too-many-texts': ['note', 'More than _ texts of one kind; the rest are left out.'],
  'note-never-released': ['problem', '_ is never released.'],
  'note-released-elsewhere': ['problem', '_ is never released there; a release stands on channel _.'],
  'note-ended-by-all-off': [
    'warning',
    '_ is never released; only "all notes off" or "all sound off" ends it.',
  ],
  'note-struck-twice': ['note', '_ is struck again while it sounds.'],
  'note-without-length': ['warning', '_ is struck and released at the same tick.'],
  'release-without-note': ['note', '_ is released without having been struck.'],
  'pedal-left-down': ['warning', 'The _ pedal of channel _ is still down at the end.'],
  'sysex-never-ended': ['problem', 'A SysEx at _ is never ended (no F7).'],
  'sysex-interrupted': ['problem', 'A SysEx at _ is interrupted by another message before its next packet.'],
} as const satisfies Readonly<Record<string, readonly [Severity, string]>>;

export type TimelineFindingCode = keyof typeof TIMELINE_FINDINGS;

/** So many findings of one code are listed; the rest are counted in one closing sentence. */
export const LISTED_PER_CODE = 12;

/** Says where a tick is, in bar and beat. */
export type PlaceOf = (tick: number) => string;
type Details = (place: PlaceOf) => readonly (string | number)[];

/** Collects findings; however many there are, the list stays short. */
export class TimelineFindings {
  readonly #listed: { code: TimelineFindingCode; offset: number; details: Details }[] = [];
  readonly #counts = new Map<TimelineFindingCode, number>();

  /**
   * @param offset byte in the file, or -1
   * @param details what replaces each `_`; asked when all is known, and only for findings that are listed
   */
  add(code: TimelineFindingCode, offset: number, details: Details): void {
    const count = this.count(code) + 1;
    this.#counts.set(code, count);
    if (count <= LISTED_PER_CODE) this.#listed.push({ code, offset, details });
  }

  count(code: TimelineFindingCode): number {
    return this.#counts.get(code) ?? 0;
  }

  /** All that is listed, in the order found, then one sentence for each code that was cut short. */
  all(place: PlaceOf): readonly Finding[] {
    const findings = this.#listed.map(({ code, offset, details }) =>
      findingOf(code, offset, sentenceOf(code, details(place))),
    );
    for (const [code, count] of this.#counts) {
      if (count <= LISTED_PER_CODE) continue;
      findings.push(
        findingOf(code, -1, `${code}: ${count} in all, the first ${LISTED_PER_CODE} are listed.`),
      );
    }
    return findings;
  }
}

function findingOf(code: TimelineFindingCode, offset: number, text: string): Finding {
  return { code, severity: TIMELINE_FINDINGS[code][0], offset, text };
}

function sentenceOf(code: TimelineFindingCode, words: readonly (string | number)[]): string {
  let next = 0;
  const text = TIMELINE_FINDINGS[code][1].replaceAll('_', () => String(words[next++] ?? '?'));
  return text.charAt(0).toUpperCase() + text.slice(1);
}
