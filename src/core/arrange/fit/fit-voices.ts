import { HOLDING_PEDALS } from '../../midi/pedals.ts';
import type { Instrument } from '../../instrument/instrument.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { heardNotes, type HeardNotes } from './heard-notes.ts';
import { lossOf } from './loss-of.ts';
import { type NoteWeights, noteWeights } from './note-weights.ts';
import { AS_WRITTEN, LEFT_OUT, type PlayedNotes, playedNotes } from './played-notes.ts';
import { type EditedRows, RowEdits } from './row-edits.ts';
import { voicePlan } from './voice-plan.ts';
import { voicesEachOf } from './voices-each.ts';

export interface SongEnd {
  readonly tick: number;
  readonly micros: number;
}

export interface VoiceFit extends EditedRows {
  /** Rows of the columns given. */
  readonly leftOut: readonly number[];
  readonly shortened: readonly number[];
  readonly flattenedChannels: readonly number[];
}

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
): VoiceFit | undefined {
  const notes = heardNotes(columns, drumChannels);
  const each = voicesEachOf(notes, instrument);
  const supply = { ...instrument };
  const asItIs = playedNotes(columns, end.micros, notes, undefined, each, supply);
  if (asItIs.cut === 0) return undefined;
  const plain = noteWeights(columns, notes, 1);
  const kept = keep === 1 ? plain : noteWeights(columns, notes, keep);
  const judged = (endOf: Uint32Array, played: PlayedNotes): Candidate => ({
    endOf,
    played,
    loss: lossOf(columns, end.micros, notes, plain, played.untilMicros),
    keptLoss: lossOf(columns, end.micros, notes, kept, played.untilMicros),
  });
  const alone = judged(new Uint32Array(notes.count).fill(AS_WRITTEN), asItIs);
  let best = alone;
  for (const weights of keep === 1 ? [plain] : [kept, plain]) {
    for (const tailMicros of tailsFor(instrument)) {
      const options = { voices: instrument.voices, tailMicros, each };
      const endOf = voicePlan(columns, end.micros, notes, weights, options);
      const plan = judged(endOf, playedNotes(columns, end.micros, notes, endOf, each, supply));
      if (plan.loss <= alone.loss + HAIR && isBetter(plan, best)) best = plan;
    }
  }
  if (best === alone) return undefined;
  return { ...withEnds(columns, end, notes, best.endOf) };
}

/** Less is lost; or no more is, and fewer notes are taken away unforeseen. */
function isBetter(plan: Candidate, than: Candidate): boolean {
  if (plan.keptLoss < than.keptLoss - HAIR) return true;
  return plan.keptLoss <= than.keptLoss + HAIR && plan.played.cut < than.played.cut;
}

/** How long a note's tail is planned for: it matters where an instrument does not take dying notes first. */
function tailsFor({ full, releaseMicros }: Instrument): readonly number[] {
  if (full === 'released' || releaseMicros === 0) return [0];
  return [0, releaseMicros / 2, releaseMicros];
}

function withEnds(columns: TimelineColumns, end: SongEnd, notes: HeardNotes, endOf: Uint32Array): VoiceFit {
  const edits = new RowEdits(columns);
  const isCut = new Uint8Array(16);
  for (let note = 0; note < notes.count; note += 1) {
    if (endOf[note]! < LEFT_OUT) isCut[notes.channel[note]!] = 1;
  }
  const flattened = pedalledChannels(columns).filter((channel) => isCut[channel]);
  dropPedals(columns, edits, flattened);
  const leftOut: number[] = [];
  const shortened: number[] = [];
  for (let note = 0; note < notes.count; note += 1) {
    const row = notes.onRow[note]!;
    const channel = notes.channel[note]!;
    const own = endOf[note]!;
    const off = columns.partner[row]!;
    if (own === LEFT_OUT) {
      leftOut.push(row);
      edits.drop(row);
      if (off < columns.count) edits.drop(off);
    } else if (own !== AS_WRITTEN || flattened.includes(channel)) {
      if (own !== AS_WRITTEN) shortened.push(row);
      const to = own === AS_WRITTEN ? notes.endRow[note]! : own;
      if (off < columns.count && off === to) continue;
      if (off < columns.count) edits.drop(off);
      edits.addBefore(to, 0x80 | channel, notes.key[note]!, releaseVelocity(columns, off), columns.track[row]!);
    }
  }
  return { ...edits.made(end), leftOut, shortened, flattenedChannels: flattened };
}

/** 64 where a song gives none (MIDI 1.0, p. 10). */
function releaseVelocity({ count, status, data2 }: TimelineColumns, off: number): number {
  return off < count && (status[off]! & 0xf0) === 0x80 ? data2[off]! : 64;
}

function pedalledChannels({ count, status, data1, data2 }: TimelineColumns): number[] {
  const pedalled = new Uint8Array(16);
  for (let row = 0; row < count; row += 1) {
    if ((status[row]! & 0xf0) !== 0xb0 || data2[row]! < 64) continue;
    if (HOLDING_PEDALS.some(({ controller }) => controller === data1[row])) pedalled[status[row]! & 15] = 1;
  }
  return Array.from(pedalled.keys()).filter((channel) => pedalled[channel]);
}

function dropPedals({ count, status, data1 }: TimelineColumns, edits: RowEdits, channels: readonly number[]) {
  for (let row = 0; row < count && channels.length > 0; row += 1) {
    if ((status[row]! & 0xf0) !== 0xb0 || !channels.includes(status[row]! & 15)) continue;
    if (HOLDING_PEDALS.some(({ controller }) => controller === data1[row])) edits.drop(row);
  }
}
