import { type ObservedState, Slot } from '../../core/observe/observed-state.ts';
import { songPosition } from '../../core/observe/song-position.ts';
import type { Command } from '../../core/schedule/command.ts';
import { Transport } from '../../core/schedule/transport-board.ts';
import { ANSWER_MICROS } from '../actions/song-moves.ts';
import type { Asked } from '../state/screen-state.ts';

/** What the music may not have answered yet, and these as well. */
export function askedToo(
  asked: readonly Asked[],
  commands: readonly Command[],
  nowMicros: number,
): readonly Asked[] {
  const waiting = asked.filter(({ atMicros }) => nowMicros - atMicros < ANSWER_MICROS);
  return [...waiting, ...commands.map((command) => ({ command, atMicros: nowMicros }))];
}

/**
 * What is seen, and the settings that were asked for just now as if they were in force: of keys that come together, as over a
 * slow link, each then counts from the one before. A setting that is in force already stays as it is.
 */
export function withAsked(
  observed: ObservedState,
  asked: readonly Asked[],
  nowMicros: number,
): ObservedState {
  const waiting = askedToo(asked, [], nowMicros);
  if (waiting.length === 0) return observed;
  const seen = {
    ...observed,
    numbers: observed.numbers.slice(),
    muted: observed.muted.slice(),
    soloed: observed.soloed.slice(),
    velocityTrim: observed.velocityTrim.slice(),
    channelTranspose: observed.channelTranspose.slice(),
    programOverride: observed.programOverride.slice(),
  };
  for (const { command } of waiting) put(command, seen, nowMicros);
  return seen;
}

function put(command: Command, seen: ObservedState, nowMicros: number): void {
  switch (command.kind) {
    case 'mute':
      seen.muted[command.channel] = command.on ? 1 : 0;
      break;
    case 'solo':
      seen.soloed[command.channel] = command.on ? 1 : 0;
      break;
    case 'velocity-trim':
      seen.velocityTrim[command.channel] = command.amount;
      break;
    case 'channel-transpose':
      seen.channelTranspose[command.channel] = command.semitones;
      break;
    case 'program-override':
      seen.programOverride[command.channel] = command.program ?? -1;
      break;
    case 'tempo-scale':
      seen.numbers[Slot.tempoScale] = command.scale;
      break;
    case 'transpose':
      seen.numbers[Slot.transpose] = command.semitones;
      break;
    case 'play':
      setTransport(seen, Transport.playing, nowMicros);
      break;
    case 'pause':
      setTransport(seen, Transport.paused, nowMicros);
      break;
    case 'stop':
      setTransport(seen, Transport.stopped, nowMicros);
      break;
  }
}

/** From where it stands. */
function setTransport({ numbers, ...rest }: ObservedState, state: number, nowMicros: number): void {
  numbers[Slot.positionMicros] = songPosition({ numbers, ...rest }, nowMicros);
  numbers[Slot.positionAtMicros] = nowMicros;
  numbers[Slot.transport] = state;
}
