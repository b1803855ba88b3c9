import type { Instrument } from '../../instrument/instrument.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { heardNotes } from './heard-notes.ts';
import { lossOf } from './loss-of.ts';
import { noteSounds } from './note-sounds.ts';
import { noteWeights } from './note-weights.ts';
import { OWN_END, type PlayedNotes, playedNotes } from './played-notes.ts';
import type { SongEnd } from './row-edits.ts';
import { unheardNotes } from './unheard-notes.ts';
import { voicePlan } from './voice-plan.ts';
import { type NoteEndFit, withNoteEnds } from './with-note-ends.ts';

interface Candidate {
  readonly endOf: Uint32Array;
  readonly played: PlayedNotes;
  /** With the weights as they are, and with melody and beat counting for more. */
  readonly loss: number;
  readonly keptLoss: number;
}

/** Two losses nearer than this are one. */
const HAIR = 1e-9;

/**
 * One round: of several plans, and of leaving all as it is, the one of which most is heard when it is played into
 * an instrument that does as this one does when its voices run out. Undefined: it stays as it is.
 */
export function fitVoices(
  columns: TimelineColumns,
  end: SongEnd,
  instrument: Instrument,
  drumChannels: readonly number[],
  keep: number,
  early: boolean,
): NoteEndFit | undefined {
  const notes = heardNotes(columns, drumChannels);
  const { like, voicesEach: each } = noteSounds(notes, instrument);
  const supply = { ...instrument };
  // What it does not sound takes no voice, and is left as it is.
  const unheard = unheardNotes(notes, instrument);
  const asItIs = playedNotes(columns, end.micros, notes, unheard, each, supply);
  if (asItIs.cut === 0) return undefined;
  const plain = noteWeights(columns, notes, 1, like);
  const kept = keep === 1 ? plain : noteWeights(columns, notes, keep, like, plain.role);
  const judged = (endOf: Uint32Array, played: PlayedNotes): Candidate => ({
    endOf,
    played,
    loss: lossOf(columns, end.micros, notes, plain, played.untilMicros),
    keptLoss: lossOf(columns, end.micros, notes, kept, played.untilMicros),
  });
  const alone = judged(new Uint32Array(notes.count).fill(OWN_END), asItIs);
  let best: Candidate | undefined;
  for (const weights of keep === 1 ? [plain] : [kept, plain]) {
    for (const tailMicros of tailsFor(instrument)) {
      const options = { voices: instrument.voices, tailMicros, each, unheard };
      const endOf = voicePlan(columns, end.micros, notes, weights, options);
      const sent = endOf.map((own, note) => Math.min(own, unheard[note]!));
      const plan = judged(endOf, playedNotes(columns, end.micros, notes, sent, each, supply));
      if (!gains(plan, alone)) continue;
      if (best === undefined || plan.keptLoss < best.keptLoss - HAIR) best = plan;
    }
  }
  if (best === undefined) return undefined;
  return withNoteEnds(columns, end, notes, best.endOf, [], early);
}

/** No more is lost than when it is left alone, and in some respect it is better. */
function gains(plan: Candidate, alone: Candidate): boolean {
  if (plan.loss > alone.loss + HAIR) return false;
  return (
    plan.loss < alone.loss - HAIR ||
    plan.keptLoss < alone.keptLoss - HAIR ||
    plan.played.cut < alone.played.cut
  );
}

/** How long a note's tail is planned for: it matters where an instrument does not take dying notes first. */
function tailsFor({ full, releaseMicros }: Instrument): readonly number[] {
  if (full === 'released' || releaseMicros === 0) return [0];
  return [0, releaseMicros / 2, releaseMicros];
}
