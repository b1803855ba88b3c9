import { ALL_CHANNELS, drumChannelsOf, type Orchestra } from '../../core/instrument/orchestra.ts';
import { freeChannel } from '../../core/schedule/free-channel.ts';
import { channelsOf, type VisitorChannel } from '../../core/schedule/visitor.ts';
import type { TimelineColumns } from '../../core/timeline/timeline.ts';
import type { OutputSpec, PlayAlong } from '../../engine/run/player-options.ts';
import { portNamed } from '../../ports/port-named.ts';
import { Refusal } from '../../trouble/refusal.ts';
import type { PlayFlags } from '../options/play-flags.ts';
import { refuseEcho } from './refuse-echo.ts';

/**
 * Who plays along, by `--thru-from` and `--thru-channel`; undefined for nobody.
 * @throws Refusal where the two make no sense together, or on this clock
 */
export function playAlongOf(
  flags: Pick<PlayFlags, 'thruFrom' | 'thruChannel' | 'clock' | 'port'>,
  columns: TimelineColumns,
  outputs: readonly OutputSpec[],
  orchestra: Orchestra,
): PlayAlong | undefined {
  const { thruFrom: from, thruChannel } = flags;
  if (from === undefined) {
    if (thruChannel === undefined) return undefined;
    throw new Refusal('nobody plays along', '--thru-channel', 'name their keyboard: --thru-from <port>');
  }
  refuseToPlayAlong(flags);
  return { from, channel: channelOf(thruChannel, columns, outputs, orchestra) };
}

/** @throws Refusal where nobody can play along on what `--thru-from` names */
export function refuseToPlayAlong({
  thruFrom: from,
  thruChannel,
  clock,
  port,
}: Pick<PlayFlags, 'thruFrom' | 'thruChannel' | 'clock' | 'port'>): void {
  if (from === undefined) return;
  if (thruChannel !== undefined && thruChannel !== 'as-played' && !/^([1-9]|1[0-6])$/.test(thruChannel)) {
    const next = 'write 1 to 16 or as-played, or leave it out';
    throw new Refusal(`'${thruChannel}' is no channel`, '--thru-channel', next);
  }
  refuseEcho(from, port);
  const kind = portNamed(from)?.kind.name;
  if (from === '-' || kind === 'stdin') {
    throw new Refusal(
      'nobody plays on standard input',
      `--thru-from ${from}`,
      'name a device, or raw:<FIFO>',
    );
  }
  if (clock === 'virtual' && kind !== 'file') {
    throw new Refusal(
      'a clock that jumps cannot wait for somebody to play',
      `--thru-from ${from}`,
      'leave --clock virtual out, or name a file:<path> with times',
    );
  }
}

function channelOf(
  wanted: string | undefined,
  columns: TimelineColumns,
  outputs: readonly OutputSpec[],
  orchestra: Orchestra,
): VisitorChannel {
  if (wanted === 'as-played') return 'as-played';
  if (wanted === undefined) {
    const reached = outputs.flatMap(({ channels }) => channels ?? ALL_CHANNELS);
    const bits = reached.reduce((sum, channel) => sum | (1 << channel), 0);
    return freeChannel(columns, drumChannelsOf(orchestra), bits);
  }
  return Number(wanted) - 1;
}

/** Where they are, in a few words. */
export function playAlongWords({ from, channel }: PlayAlong, columns: TimelineColumns): string {
  if (channel === 'as-played') return `${from} plays along, on the channels it sends on`;
  const isFree = (channelsOf(columns) & (1 << channel)) === 0;
  return `${from} plays along on channel ${channel + 1}${isFree ? '' : ', which the song plays too'}`;
}
