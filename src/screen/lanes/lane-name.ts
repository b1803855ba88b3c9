import {
  DRUM_CHANNEL,
  drumSetName,
  percussionName,
  programName,
} from '../../core/instrument/general-midi.ts';
import { keyName } from '../../core/midi/key-names.ts';
import { NEVER_SEEN, type ObservedState } from '../../core/observe/observed-state.ts';

/** Program (0–127) that a channel plays: the person's own choice, or the last one seen; undefined for none. */
export function laneProgram(observed: ObservedState, channel: number): number | undefined {
  const own = observed.programOverride[channel]!;
  if (own >= 0) return own;
  const seen = observed.program[channel]!;
  return seen === NEVER_SEEN ? undefined : seen;
}

/** What plays on a lane: the General MIDI program, the kit on channel 10, or nothing while nothing was sent. */
export function laneName(observed: ObservedState, channel: number): string {
  if (observed.messages[channel] === 0) return '';
  const program = laneProgram(observed, channel);
  if (channel === DRUM_CHANNEL) return drumSetName(program ?? 0);
  if (program !== undefined) return programName(program);
  // Silencing and chasing say something on every channel; that alone makes no lane speak. A General MIDI module
  // starts with program 1 on every channel, but no one said so.
  return observed.noteOns[channel]! + observed.heldBack[channel]! > 0 ? '(no program sent)' : '';
}

/** Names of the sounding keys from the lowest up, as many as fit whole. */
export function soundingNames(observed: ObservedState, channel: number, width: number): string {
  let text = '';
  for (let key = 0; key < 128; key += 1) {
    if (observed.strikes[channel * 128 + key] === 0) continue;
    const name = soundName(channel, key);
    const next = text === '' ? name : `${text}${channel === DRUM_CHANNEL ? ', ' : ' '}${name}`;
    if (next.length > width) return text;
    text = next;
  }
  return text;
}

/** What a key plays: its pitch, or on channel 10 the General MIDI percussion sound where there is one. */
export function soundName(channel: number, key: number): string {
  return (channel === DRUM_CHANNEL ? percussionName(key) : undefined) ?? keyName(key);
}
