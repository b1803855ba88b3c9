import type { CheckPlace } from './check-place.ts';
import type { Guide } from './guide.ts';

/** Something of a song that the instrument at the wire's end cannot do as it is written. */
export interface InstrumentFinding {
  readonly code: InstrumentFindingCode;
  /** The port whose instrument it is, with `--map`; else null. */
  readonly port: string | null;
  /** 1–16; empty where it concerns no channel above others. */
  readonly channels: readonly number[];
  /** Where it is so for the first time. */
  readonly at: CheckPlace;
  /** Notes it concerns; for controllers, resets and the like: messages. */
  readonly count: number;
  /** Of all notes of the song, 0–1; 0 where messages are counted. */
  readonly share: number;
  readonly text: string;
}

interface FindingGuide extends Guide {
  /** What the report says, before the details. */
  readonly says: string;
  /** `notes` are wrong or missing, or only `messages` go unheeded. */
  readonly counts: 'notes' | 'messages';
  /** It may well be meant so: told, but no problem, and nothing is changed by it. */
  readonly isHint?: true;
}

/** Every such finding: docs/findings.md is printed from here. */
export const INSTRUMENT_FINDINGS = {
  'channel-not-heard': {
    says: 'the instrument does not hear this channel',
    counts: 'notes',
    means: 'Nothing on this channel will sound.',
    toDo: 'Use wirepit fit, which moves its part to a channel that is heard, where one is free.',
  },
  'drums-elsewhere': {
    says: 'the song has its drums here, and the instrument has none here',
    counts: 'notes',
    means: 'Drums would sound as melodic notes, or not at all.',
    toDo: 'Use wirepit fit, which sends them where the instrument plays drums.',
  },
  'looks-like-drums': {
    says: 'these may be drums, on a channel that has none:',
    counts: 'notes',
    means: 'If they are, they sound as melodic notes.',
    toDo: 'Listen; if they are drums, move them to channel 10 where the song was written. Wirepit fit leaves them as they are.',
    isHint: true,
  },
  'drums-for-melody': {
    says: 'a melodic part is on a channel that plays drums here',
    counts: 'notes',
    means: 'Its notes would sound as drums.',
    toDo: 'Use wirepit fit, which moves it to another channel.',
  },
  'no-program': {
    says: 'notes come before any program was sent',
    counts: 'notes',
    means: 'They sound with whatever the instrument was left at.',
    toDo: 'Use wirepit fit, which sends a program first; or add one where the song was written.',
  },
  'bank-not-there': {
    says: 'the instrument has no bank for',
    counts: 'notes',
    means: 'What sounds is up to the instrument, often the bank it had before.',
    toDo: 'Use wirepit fit, which takes the nearest program it has.',
  },
  'program-not-there': {
    says: 'the instrument has no',
    counts: 'notes',
    means: 'What sounds is up to the instrument.',
    toDo: 'Use wirepit fit, which takes the nearest program it has.',
  },
  'kit-not-there': {
    says: 'the instrument has no drum kit',
    counts: 'notes',
    means: 'Most instruments go on with the kit they have.',
    toDo: 'Use wirepit fit, which leaves the change out.',
  },
  'drum-key-not-there': {
    says: 'the instrument has no drum sound for',
    counts: 'notes',
    means: 'These strokes will not sound.',
    toDo: 'Use wirepit fit, which takes the nearest drum it has.',
  },
  'key-out-of-range': {
    says: 'keys that the instrument does not sound:',
    counts: 'notes',
    means: 'These notes will not sound, or in another octave.',
    toDo: 'Use wirepit fit, which moves the part by octaves.',
  },
  'too-few-parts': {
    says: 'more sounds at once than the instrument has parts',
    counts: 'notes',
    means: 'One of the sounds will be another than was meant.',
    toDo: 'Use wirepit fit, which gives each part the sound that most of its notes want.',
  },
  'too-few-voices': {
    says: 'more voices are wanted than there are',
    counts: 'notes',
    means: 'The instrument cuts or leaves out notes, as it does when it is full.',
    toDo: 'Use wirepit fit, which leaves out what is heard least.',
  },
  'tails-cut': {
    says: 'more voices are wanted than there are, but no more than there are for keys and pedals that are down:',
    counts: 'notes',
    means: 'What dies away ends sooner, to make room for new notes.',
    toDo: 'Nothing, where that is not heard. Wirepit fit leaves it so: no message can cut what dies away.',
    isHint: true,
  },
  'bend-range': {
    says: 'pitch bend has another range',
    counts: 'notes',
    means: 'Bent notes will be out of tune.',
    toDo: 'Use wirepit fit, which sets the range, or scales the bends where it cannot be set.',
  },
  'controller-not-followed': {
    says: 'the instrument does not follow',
    counts: 'messages',
    means: 'These changes will not be heard; they only fill the wire.',
    toDo: 'Use wirepit fit, which leaves them out.',
  },
  'parameter-not-followed': {
    says: 'the instrument does not follow registered parameter',
    counts: 'messages',
    means: 'What it sets (bend range, tuning) stays as it was.',
    toDo: 'Use wirepit fit, which leaves it out.',
  },
  'reset-not-followed': {
    says: 'the instrument does not follow',
    counts: 'messages',
    means: 'What went before stays in force.',
    toDo: 'Use wirepit fit, which sends the one it follows in its place or leaves it out, and writes out what a mode message would have done.',
  },
} as const satisfies Readonly<Record<string, FindingGuide>>;

export type InstrumentFindingCode = keyof typeof INSTRUMENT_FINDINGS;

/** Told of, but no reason why a song does not fit. */
export function isHint(code: InstrumentFindingCode): boolean {
  const guide: FindingGuide = INSTRUMENT_FINDINGS[code];
  return guide.isHint === true;
}
