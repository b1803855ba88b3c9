import { LoadAt, LoadWindow } from '../wire/load-window.ts';
import type { WireRun } from '../wire/simulate-plan.ts';
import { microsPerByte } from '../wire/wire-traits.ts';

const WINDOW_MICROS = 100_000;

/** The highest share (0–1) of any 100 ms in each of `points` equal stretches of the song; a lead-in counts to the first. */
export function peakCurveOf(run: WireRun, durationMicros: number, points: number): number[] {
  const curve = new Array<number>(points).fill(0);
  const window = new LoadWindow(WINDOW_MICROS, microsPerByte(run.traits));
  const span = new Float64Array(2);
  for (let row = 0; row < run.plan.count; row += 1) {
    span[0] = run.startMicros[row]!;
    span[1] = run.endMicros[row]!;
    window.add(span, 0);
    const point = Math.floor((span[1] / Math.max(1, durationMicros)) * points);
    const at = Math.min(points - 1, Math.max(0, point));
    curve[at] = Math.max(curve[at]!, window.numbers[LoadAt.latest]!);
  }
  return curve;
}
