import type { TimelineColumns } from '../timeline/timeline.ts';
import { channelsOf, type VisitorChannel } from './visitor.ts';

/**
 * A channel for somebody who plays along: the lowest that the song has no messages on, that a port plays and that has
 * no drums; where there is none, the channel on which they play themselves.
 * @param drumChannels bits of the channels that play drums
 * @param reached bits of the channels that go to some port
 */
export function freeChannel(columns: TimelineColumns, drumChannels: number, reached: number): VisitorChannel {
  const free = reached & ~channelsOf(columns) & ~drumChannels;
  return free === 0 ? 'as-played' : 31 - Math.clz32(free & -free);
}
