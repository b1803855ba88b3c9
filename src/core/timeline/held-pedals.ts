import type { TimelineFindings } from './timeline-finding.ts';

/** Pedals that hold notes (MIDI 1.0, Table III). From 64 on they are down (p. 12). */
const HOLDING_PEDALS = [
  [64, 'damper'],
  [66, 'sostenuto'],
  [69, 'hold 2'],
] as const;
const RESET_ALL_CONTROLLERS = 121;

/** Follows the controllers of a song; a pedal that is down when it ends would hold whatever is played next. */
export class HeldPedals {
  readonly #down = new Uint8Array(16 * 128);

  controller(channel: number, number: number, value: number): void {
    if (number === RESET_ALL_CONTROLLERS) this.#down.fill(0, channel * 128, channel * 128 + 128);
    else this.#down[channel * 128 + number] = value >= 64 ? 1 : 0;
  }

  report(findings: TimelineFindings): void {
    for (let channel = 0; channel < 16; channel += 1) {
      for (const [number, pedal] of HOLDING_PEDALS) {
        if (!this.#down[channel * 128 + number]) continue;
        findings.add('pedal-left-down', -1, () => ({ pedal, channel: channel + 1 }));
      }
    }
  }
}
