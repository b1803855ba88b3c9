import { isSwitchOn } from '../../midi/controllers.ts';
import { HOLDING_PEDALS } from '../../midi/pedals.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';

const HOLDING: readonly number[] = HOLDING_PEDALS.map(({ controller }) => controller);

/** Channels (0–15) on which a pedal that holds notes goes down. @param pedals which of them count */
export function pedalledChannels(
  { count, status, data1, data2 }: TimelineColumns,
  pedals: readonly number[] = HOLDING,
): number[] {
  const pedalled = new Uint8Array(16);
  for (let row = 0; row < count; row += 1) {
    if ((status[row]! & 0xf0) !== 0xb0 || !isSwitchOn(data2[row]!)) continue;
    if (pedals.includes(data1[row]!)) pedalled[status[row]! & 15] = 1;
  }
  return Array.from(pedalled.keys()).filter((channel) => pedalled[channel]);
}
