import { type ObservedState, Slot } from '../../core/observe/observed-state.ts';
import { countInMicros, songPosition, transportState } from '../../core/observe/song-position.ts';
import { findStuckNotes, STUCK_LIMITS, type StuckLimits } from '../../core/observe/stuck-notes.ts';
import { barBeatText, clockText, millisText, percentText } from '../format/moment.ts';
import { backlogMicros, loadBefore, portLoadBefore } from '../scene/wire-load.ts';
import { clockStatus } from '../state/clock-words.ts';
import type { SongView } from '../state/song-view.ts';
import { portTrouble } from '../state/troubled-ports.ts';

const SECOND = 1_000_000;
/** By trouble: `PortTrouble`. */
const TROUBLES = ['', 'full', 'lost'] as const;

/**
 * The run in one line for a log: `0:34/2:44 bar 17:1 playing 12 sounding, wire 42% peak 88% backlog 3.2 ms,
 * worst onset 12.5 ms at 1:1`, then what is amiss. No colour, no control characters.
 */
export function statusLine(
  observed: ObservedState,
  song: SongView,
  nowMicros: number,
  limits: StuckLimits = STUCK_LIMITS,
): string {
  const { numbers } = observed;
  const parts: string[] = [];
  if (song.timeline) {
    const standing = songPosition(observed, nowMicros);
    const toGo = countInMicros(observed, standing);
    const state = toGo > 0 ? 'counting in' : transportState(observed);
    const position = Math.max(0, standing + toGo);
    const where = `bar ${barBeatText(song.timeline, position)}`;
    parts.push(
      `${clockText(position)}/${clockText(song.durationMicros)} ${where} ${state} ${soundingText(observed)}`,
    );
  } else {
    parts.push(`${clockText(nowMicros)} listening ${soundingText(observed)}`);
  }
  const clock = clockStatus(observed, nowMicros);
  if (clock !== undefined) parts.push(clock);
  const load = loadText(observed, song, nowMicros);
  const peak = percentText(numbers[Slot.peakLoad]!);
  parts.push(`wire ${load} peak ${peak} backlog ${millisText(backlogMicros(observed, nowMicros))} ms`);
  const worst = numbers[Slot.worstOnsetLatenessMicros]!;
  if (song.timeline && worst > 0) {
    const where = barBeatText(song.timeline, numbers[Slot.worstOnsetSongMicros]!);
    parts.push(`worst onset ${millisText(worst)} ms at ${where}`);
  }
  const stuck = findStuckNotes(observed, song.notes, nowMicros, limits).filter(
    (note) => note.cause !== 'held-by-pedal',
  );
  if (stuck.length > 0) parts.push(`${stuck.length} stuck`);
  if (numbers[Slot.skippedNoteOns]! > 0) parts.push(`${numbers[Slot.skippedNoteOns]} left out`);
  for (const trouble of portTroubles(observed, song)) parts.push(trouble);
  return parts.join(', ');
}

/** How full the wires are together; where there are several, also which is how full. */
function loadText(observed: ObservedState, song: SongView, nowMicros: number): string {
  const all = percentText(loadBefore(observed, nowMicros, SECOND));
  if (!song.ports) return all;
  const each = song.ports.map(({ name }, index) => {
    return `${name} ${percentText(portLoadBefore(observed.ports[index]!, nowMicros, SECOND))}`;
  });
  return `${all} (${each.join(', ')})`;
}

function portTroubles(observed: ObservedState, song: SongView): string[] {
  const ports = song.ports?.map(({ name }, index) => ({
    words: `port ${name}`,
    trouble: portTrouble(observed, index),
  })) ?? [{ words: 'port', trouble: observed.numbers[Slot.portTrouble]! }];
  return ports.flatMap(({ words, trouble }) => (trouble > 0 ? `${words} ${TROUBLES[trouble]}` : []));
}

function soundingText(observed: ObservedState): string {
  let count = 0;
  for (const channel of observed.sounding) count += channel;
  return `${count} sounding`;
}
