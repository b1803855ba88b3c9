import { FIRST_PERCUSSION_KEY, GM_PERCUSSION } from '../instrument/general-midi.ts';
import { RHYTHM_BANK, RhythmBank } from '../instrument/song-drums.ts';
import { isNoteOn } from '../timeline/note-row.ts';
import { NO_PARTNER, type Timeline } from '../timeline/timeline.ts';

/** A channel whose notes may be drums, though nothing in the song makes them so. */
export interface DrumEvidence {
  readonly channel: number;
  /** Row of its first note. */
  readonly row: number;
  readonly notes: number;
  /** What speaks for it, in a few words. */
  readonly why: string;
}

interface ChannelFacts {
  firstRow: number;
  notes: number;
  short: number;
  inRhythmBank: number;
  readonly keys: Set<number>;
  readonly tracks: Set<number>;
  readonly programs: Set<number>;
}

/** Fewer notes, or keys, say nothing: our choice, as all of these. */
const LEAST_NOTES = 12;
const LEAST_KEYS = 2;
const SHORT_MICROS = 300_000;
const LEAST_SHORT_SHARE = 0.9;
/** Also "DrumL", "Drumset". */
const DRUM_WORDS = /\b(drum|percussion)/i;
/** Pitched, whatever they are called: steel drums, and what a melody may well be played on. */
const MELODIC_WORDS = /steel|melodic|pitched|timpani/i;
/** Timpani and the family of drums that are melodies (GM1). */
const DRUM_PROGRAMS: ReadonlySet<number> = new Set([47, 112, 113, 114, 115, 116, 117, 118]);
const LAST_PERCUSSION_KEY = FIRST_PERCUSSION_KEY + GM_PERCUSSION.length - 1;

/**
 * Channels that by their evidence are drums elsewhere than where a song has drums: under bank 120 on a channel that
 * General MIDI 2 gives no drums, or in a track that is called so, all keys among the drums, all notes short. Only a
 * hint: nothing is changed by it.
 * @param drumChannels those that the song means as drums
 */
export function drumEvidence(timeline: Timeline, drumChannels: readonly number[]): readonly DrumEvidence[] {
  const facts = factsOf(timeline);
  const channelsOf = (track: number) => facts.filter(({ tracks }) => tracks.has(track)).length;
  return facts.flatMap((one, channel) => {
    if (one.notes === 0 || drumChannels.includes(channel)) return [];
    const found = { channel, row: one.firstRow, notes: one.notes };
    if (one.inRhythmBank > 0) return [{ ...found, notes: one.inRhythmBank, why: `bank ${RHYTHM_BANK}` }];
    const names = [...one.tracks].map((track) => timeline.trackNames[track] ?? '');
    // A track with several channels has a name for none of them.
    const isCalledSo =
      names.every((name) => DRUM_WORDS.test(name) && !MELODIC_WORDS.test(name)) &&
      [...one.tracks].every((track) => channelsOf(track) === 1);
    return isCalledSo && playsLikeDrums(one) ? [{ ...found, why: `its track is called "${names[0]}"` }] : [];
  });
}

function playsLikeDrums({ notes, short, keys, programs }: ChannelFacts): boolean {
  return (
    notes >= LEAST_NOTES &&
    keys.size >= LEAST_KEYS &&
    short >= LEAST_SHORT_SHARE * notes &&
    [...keys].every((key) => key >= FIRST_PERCUSSION_KEY && key <= LAST_PERCUSSION_KEY) &&
    ![...programs].some((program) => DRUM_PROGRAMS.has(program))
  );
}

function factsOf({ columns }: Timeline): ChannelFacts[] {
  const { count, status, data1, track, micros, partner } = columns;
  const facts = Array.from({ length: 16 }, emptyFacts);
  const bank = new RhythmBank(columns);
  for (let row = 0; row < count; row += 1) {
    bank.take(row);
    const channel = status[row]! & 15;
    const one = facts[channel]!;
    if ((status[row]! & 0xf0) === 0xc0) one.programs.add(data1[row]!);
    if (!isNoteOn(columns, row)) continue;
    if (one.firstRow < 0) one.firstRow = row;
    one.notes += 1;
    one.keys.add(data1[row]!);
    one.tracks.add(track[row]!);
    const off = partner[row]!;
    if (off !== NO_PARTNER && micros[off]! - micros[row]! <= SHORT_MICROS) one.short += 1;
    if (bank.isRhythm[channel]) one.inRhythmBank += 1;
  }
  return facts;
}

function emptyFacts(): ChannelFacts {
  return {
    firstRow: -1,
    notes: 0,
    short: 0,
    inRhythmBank: 0,
    keys: new Set(),
    tracks: new Set(),
    programs: new Set(),
  };
}
