import { Cc, isSwitchOn } from '../midi/controllers.ts';
import { HOLDING_PEDALS } from '../midi/pedals.ts';
import type { TimelineFindings } from './timeline-finding.ts';

/** Follows the controllers of a song; a pedal that is down when it ends would hold whatever is played next. */
export class HeldPedals {
  readonly #down = new Uint8Array(16 * 128);

  controller(channel: number, number: number, value: number): void {
    if (number === Cc.resetAllControllers) this.#down.fill(0, channel * 128, channel * 128 + 128);
    else this.#down[channel * 128 + number] = isSwitchOn(value) ? 1 : 0;
  }

  report(findings: TimelineFindings): void {
    for (let channel = 0; channel < 16; channel += 1) {
      for (const { controller, name: pedal } of HOLDING_PEDALS) {
        if (!this.#down[channel * 128 + controller]) continue;
        findings.add('pedal-left-down', -1, () => ({ pedal, channel: channel + 1 }));
      }
    }
  }
}
