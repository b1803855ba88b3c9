import type { Command, CommandKind } from './command.ts';

/** The numbers of the commands on their way between threads: `op` is the place in this table. */
export const COMMAND_KINDS = [
  'play',
  'pause',
  'stop',
  'seek',
  'loop',
  'loop-off',
  'tempo-scale',
  'transpose',
  'mute',
  'solo',
  'velocity-trim',
  'channel-transpose',
  'program-override',
  'silence-all',
  'silence-channel',
  'silence-note',
  'quit',
] as const satisfies readonly CommandKind[];

/** `op` of each kind, for a switch without strings. */
export const Op = {
  play: 0,
  pause: 1,
  stop: 2,
  seek: 3,
  loop: 4,
  loopOff: 5,
  tempoScale: 6,
  transpose: 7,
  mute: 8,
  solo: 9,
  velocityTrim: 10,
  channelTranspose: 11,
  programOverride: 12,
  silenceAll: 13,
  silenceChannel: 14,
  silenceNote: 15,
  quit: 16,
} as const;

/** `op` and its three numbers. What a command does not use is 0; "no program" is −1; on and off are 1 and 0. */
export type EncodedCommand = readonly [op: number, a: number, b: number, c: number];

export function encodeCommand(command: Command): EncodedCommand {
  const op = COMMAND_KINDS.indexOf(command.kind);
  switch (command.kind) {
    case 'seek':
      return [op, command.micros, 0, 0];
    case 'loop':
      return [op, command.fromMicros, command.toMicros, 0];
    case 'tempo-scale':
      return [op, command.scale, 0, 0];
    case 'transpose':
      return [op, command.semitones, 0, 0];
    case 'mute':
    case 'solo':
      return [op, command.channel, command.on ? 1 : 0, 0];
    case 'velocity-trim':
      return [op, command.channel, command.amount, 0];
    case 'channel-transpose':
      return [op, command.channel, command.semitones, 0];
    case 'program-override':
      return [op, command.channel, command.program ?? -1, 0];
    case 'silence-channel':
      return [op, command.channel, 0, 0];
    case 'silence-note':
      return [op, command.channel, command.key, 0];
    default:
      return [op, 0, 0, 0];
  }
}
