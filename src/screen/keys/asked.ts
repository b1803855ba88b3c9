import { type ObservedState, Slot } from '../../core/observe/observed-state.ts';
import { songPosition } from '../../core/observe/song-position.ts';
import { setForChannel } from '../../core/schedule/channel-settings.ts';
import { encodeCommand } from '../../core/schedule/command.ts';
import { Transport } from '../../core/schedule/transport-board.ts';
import type { Asked } from '../state/screen-state.ts';

/** Until the music has answered, the next key counts from what the one before it asked for. */
const ANSWER_MICROS = 200_000;

/** What the music may not have answered yet. */
export function unanswered(asked: readonly Asked[], nowMicros: number): readonly Asked[] {
  return asked.filter(({ atMicros }) => nowMicros - atMicros < ANSWER_MICROS);
}

/**
 * What is seen, and what is not answered yet as if it were in force: of keys that come together, as over a slow link, each
 * then counts from the one before. A setting that is in force already stays as it is.
 */
export function withAsked(
  observed: ObservedState,
  waiting: readonly Asked[],
  nowMicros: number,
): ObservedState {
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
  for (const one of waiting) put(one, seen, nowMicros);
  return seen;
}

function put({ command, atMicros }: Asked, seen: ObservedState, nowMicros: number): void {
  const { numbers } = seen;
  switch (command.kind) {
    case 'seek':
      numbers[Slot.positionMicros] = command.micros;
      // It stands there as long as it is believed.
      numbers[Slot.positionAtMicros] = atMicros + ANSWER_MICROS;
      break;
    case 'tempo-scale':
      numbers[Slot.tempoScale] = command.scale;
      break;
    case 'transpose':
      numbers[Slot.transpose] = command.semitones;
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
    default:
      if ('channel' in command) setForChannel(seen, ...encodeCommand(command));
  }
}

/** From where it stands. */
function setTransport(seen: ObservedState, state: number, nowMicros: number): void {
  const { numbers } = seen;
  numbers[Slot.positionMicros] = songPosition(seen, nowMicros);
  numbers[Slot.positionAtMicros] = nowMicros;
  numbers[Slot.transport] = state;
}
