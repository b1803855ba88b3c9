import { type ObservedState, Slot } from './observed-state.ts';
import type { NoteEnd, SongNotes } from './song-notes.ts';
import { songPosition, transportState } from './song-position.ts';

/** Why a note hangs, the surest reason first. */
export const STUCK_CAUSES = {
  'never-released': 'the song never releases it',
  'other-channel': 'the song releases it on another channel',
  'lost-off': 'its release did not reach the wire',
  'too-long': 'it has sounded longer than the limit',
  'held-by-pedal': 'only the damper pedal still holds it',
} as const;

export type StuckCause = keyof typeof STUCK_CAUSES;

export interface StuckNote {
  readonly channel: number;
  readonly key: number;
  readonly velocity: number;
  readonly cause: StuckCause;
  /** Run time since the latest strike, in microseconds. */
  readonly ageMicros: number;
  /** Song time (µs) of the latest strike; −1 where it is not from a song. */
  readonly beganSongMicros: number;
  /** For `other-channel` the channel (0–15) that was released instead; else −1. */
  readonly releasedChannel: number;
}

export interface StuckLimits {
  /** A note that has sounded this long is listed whatever the song says. */
  readonly longMicros: number;
  /** How long after the strike, or after the release that did not come, a note is left in peace. */
  readonly graceMicros: number;
}

export const STUCK_LIMITS: StuckLimits = { longMicros: 10_000_000, graceMicros: 500_000 };

/**
 * Every sounding note that ought not to sound, oldest first; those that only a pedal holds come last.
 *
 * @param notes how the song ends its notes; undefined when there is no song (listening): then age alone counts
 * @param nowMicros run time, on the clock of `observed`
 */
export function findStuckNotes(
  observed: ObservedState,
  notes: SongNotes | undefined,
  nowMicros: number,
  limits: StuckLimits = STUCK_LIMITS,
): StuckNote[] {
  const position = songPosition(observed, nowMicros);
  const running = transportState(observed) === 'playing';
  const found: StuckNote[] = [];
  for (let place = 0; place < 2048; place += 1) {
    const isSounding = observed.strikes[place]! > 0;
    if (!isSounding && observed.pedalHeld[place] === 0) continue;
    const ageMicros = Math.max(0, nowMicros - observed.onsetMicros[place]!);
    if (ageMicros < Math.min(limits.graceMicros, limits.longMicros)) continue;
    const end = isSounding ? songEnd(observed, notes, place) : undefined;
    const cause = isSounding
      ? causeOf(end, position, running || !notes || mayBeVisitors(observed, place), ageMicros, limits)
      : ageMicros >= limits.longMicros && 'held-by-pedal';
    if (!cause) continue;
    found.push({
      channel: place >> 7,
      key: place & 127,
      velocity: observed.velocity[place]!,
      cause,
      ageMicros,
      beganSongMicros: observed.onsetSongMicros[place]!,
      releasedChannel: cause === 'other-channel' ? end!.strayOffChannel : -1,
    });
  }
  // Of one age they stay as they were found: by channel and key.
  return found.sort(
    (a, b) =>
      Number(a.cause === 'held-by-pedal') - Number(b.cause === 'held-by-pedal') || b.ageMicros - a.ageMicros,
  );
}

/** Not of the song, while somebody plays along: they may play in a pause as well. */
function mayBeVisitors(observed: ObservedState, place: number): boolean {
  return observed.numbers[Slot.visitorInput] !== 0 && observed.onsetSongMicros[place]! < 0;
}

function causeOf(
  end: NoteEnd | undefined,
  position: number,
  running: boolean,
  ageMicros: number,
  limits: StuckLimits,
): StuckCause | undefined {
  if (end && end.offMicros < 0) return end.strayOffChannel >= 0 ? 'other-channel' : 'never-released';
  // A pause, a stop or the end silences everything (MIDI 1.0, p. 31), so whatever still sounds then was lost.
  const overdue =
    !running ||
    (end && (position > end.offMicros + limits.graceMicros || position < end.onMicros - limits.graceMicros));
  if (overdue) return 'lost-off';
  return ageMicros >= limits.longMicros ? 'too-long' : undefined;
}

/**
 * How the song ends the note that was struck: looked up under the key as it is written, which is the sounding
 * key less the transpositions in force. A release that has passed may have served a later strike of the same
 * key; then an earlier strike that nothing releases is what still sounds.
 */
function songEnd(observed: ObservedState, notes: SongNotes | undefined, place: number): NoteEnd | undefined {
  const songMicros = observed.onsetSongMicros[place]!;
  if (!notes || songMicros < 0) return undefined;
  const channel = place >> 7;
  const isDrums = (observed.numbers[Slot.drumChannels]! & (1 << channel)) !== 0;
  const shift = (isDrums ? 0 : observed.numbers[Slot.transpose]!) + observed.channelTranspose[channel]!;
  const written = (place & 127) - shift;
  const end = notes.find(channel, written, songMicros);
  if (end && end.offMicros >= 0 && observed.numbers[Slot.positionMicros]! > end.offMicros) {
    return notes.unreleasedBefore(channel, written, songMicros) ?? end;
  }
  return end;
}

/** The cause in words, with the channel that was released instead where there is one. */
export function stuckCauseText(note: Pick<StuckNote, 'cause' | 'releasedChannel'>): string {
  if (note.cause === 'other-channel')
    return `the song releases it on channel ${note.releasedChannel + 1} instead`;
  return STUCK_CAUSES[note.cause];
}

/** True for a key whose release came while the damper was down, and which so still sounds. */
export function isPedalHeld(observed: ObservedState, place: number): boolean {
  return observed.strikes[place] === 0 && observed.pedalHeld[place]! > 0;
}
