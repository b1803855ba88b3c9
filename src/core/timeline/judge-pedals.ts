import type { TimelineColumns } from './timeline.ts';
import type { TimelineFindings } from './timeline-finding.ts';

/** Pedals that hold notes (MIDI 1.0, Table III). From 64 on they are down (p. 12). */
const HOLDING_PEDALS: Readonly<Record<number, string>> = { 64: 'damper', 66: 'sostenuto', 69: 'hold 2' };
const RESET_ALL_CONTROLLERS = 121;

/** One finding for each pedal that is down when the song ends: it would hold whatever is played next. */
export function judgePedals(columns: TimelineColumns, findings: TimelineFindings): void {
  const { count, status, data1, data2 } = columns;
  const down = new Uint8Array(16 * 128);
  for (let row = 0; row < count; row += 1) {
    if ((status[row]! & 0xf0) !== 0xb0) continue;
    const channel = (status[row]! & 0x0f) * 128;
    const controller = data1[row]!;
    if (controller === RESET_ALL_CONTROLLERS) down.fill(0, channel, channel + 128);
    else down[channel + controller] = data2[row]! >= 64 ? 1 : 0;
  }
  for (let channel = 0; channel < 16; channel += 1) {
    for (const [controller, pedal] of Object.entries(HOLDING_PEDALS)) {
      if (!down[channel * 128 + Number(controller)]) continue;
      findings.add('pedal-left-down', -1, () => ({ pedal, channel: channel + 1 }));
    }
  }
}
