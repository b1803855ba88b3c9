import type { Finding, FindingKind } from '../smf/finding.ts';
import { FindingList, type FindingValues, LISTED_PER_CODE } from '../smf/finding-list.ts';

/** Everything timing and pairing may find, and the sentence it is told in. */
export const TIMELINE_FINDINGS = {
  // The whole song
  'patterns-in-sequence': {
    severity: 'note',
    sentence: 'Format 2: its {count} patterns are played one after another.',
  },
  'song-too-long': {
    severity: 'problem',
    sentence: 'The patterns together pass 4,294,967,295 ticks; what lies beyond is heaped there.',
  },

  // Tempo, meter, key, texts
  'tempo-zero': { severity: 'warning', sentence: 'A tempo of 0 at {place} is ignored.' },
  'tempo-cut-short': { severity: 'warning', sentence: 'A tempo with too few bytes at {place} is ignored.' },
  'tempo-without-effect': {
    severity: 'note',
    sentence: 'Ticks are SMPTE frames, so the tempo at {place} has no effect.',
  },
  'tempo-outside-first-track': {
    severity: 'note',
    sentence: 'The tempo at {place} stands in track {track}; it is obeyed.',
  },
  'meter-absurd': {
    severity: 'warning',
    sentence: 'A time signature at {place} cannot be read and is ignored.',
  },
  'key-signature-absurd': {
    severity: 'note',
    sentence: 'A key signature at {place} cannot be read and is ignored.',
  },
  'too-many-texts': {
    severity: 'note',
    sentence: 'There are more than {limit} texts of one kind; the rest is left out.',
  },

  // Notes and pedals
  'note-never-released': {
    severity: 'problem',
    sentence: 'The note on channel {channel}, key {key}, at {place} is never released.',
  },
  'note-released-elsewhere': {
    severity: 'problem',
    sentence:
      'The note on channel {channel}, key {key}, at {place} is never released there; a release stands on channel {elsewhere}.',
  },
  'note-ended-by-all-off': {
    severity: 'warning',
    sentence:
      'The note on channel {channel}, key {key}, at {place} is never released; only "all notes off" or "all sound off" ends it.',
  },
  'note-struck-twice': {
    severity: 'note',
    sentence:
      'Channel {channel}: a key is struck while it sounds (times: {times}); first key {key} at {place}.',
  },
  'note-without-length': {
    severity: 'warning',
    sentence: 'Channel {channel}: a note has no length (times: {times}); first key {key} at {place}.',
  },
  'release-without-note': {
    severity: 'note',
    sentence:
      'Channel {channel}: a key is released without a strike (times: {times}); first key {key} at {place}.',
  },
  'pedal-left-down': {
    severity: 'warning',
    sentence: 'The {pedal} pedal of channel {channel} is still down at the end.',
  },

  // SysEx in packets
  'sysex-interrupted': {
    severity: 'problem',
    sentence: 'The SysEx at {place} is interrupted by another message before its next packet.',
  },
} as const satisfies Readonly<Record<string, FindingKind>>;

export type TimelineFindingCode = keyof typeof TIMELINE_FINDINGS;

/** Says where a tick is, in bar and beat. */
export type PlaceOf = (tick: number) => string;
type Details = (place: PlaceOf) => FindingValues;

/** Collects findings while bars and beats are not known yet; however many there are, the list stays short. */
export class TimelineFindings {
  readonly #listed: { code: TimelineFindingCode; offset: number; details: Details }[] = [];
  readonly #counts = new Map<TimelineFindingCode, number>();

  /**
   * @param offset byte in the file, or -1
   * @param details values for the sentence; asked when all is known, and only for findings that are listed
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
    const list = new FindingList(TIMELINE_FINDINGS);
    for (const { code, offset, details } of this.#listed) list.add(code, offset, details(place));
    const findings = [...list.toArray()];
    for (const [code, count] of this.#counts) {
      if (count <= LISTED_PER_CODE) continue;
      const { severity } = TIMELINE_FINDINGS[code];
      const text = `And ${count - LISTED_PER_CODE} more of this kind (${code}).`;
      findings.push({ code, severity, offset: -1, text });
    }
    return findings;
  }
}
