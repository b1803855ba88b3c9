import type { WireRun } from './simulate-plan.ts';

/**
 * How busy a run keeps the wire in each window of song time: 1 is all it can carry. Windows begin at song
 * time 0 and cover the run; bytes sent before 0 count in the first.
 */
export function loadCurveOf(run: WireRun, windowMicros: number): Float32Array {
  const windows = Math.max(1, Math.ceil(run.wireEndMicros / windowMicros));
  const load = new Float32Array(windows);
  for (let row = 0; row < run.plan.count; row += 1) {
    const end = run.endMicros[row]!;
    let from = run.startMicros[row]!;
    while (from < end) {
      const window = Math.min(windows - 1, Math.max(0, Math.floor(from / windowMicros)));
      const until = window === windows - 1 ? end : Math.min(end, (window + 1) * windowMicros);
      load[window]! += (until - from) / windowMicros;
      from = until;
    }
  }
  return load;
}
