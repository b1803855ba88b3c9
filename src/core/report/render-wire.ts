import { barChart } from './bar-chart.ts';
import { type Align, columnsText } from './columns-text.ts';
import { barBeat, counted, millis, percent } from './figure-text.ts';
import type { RenderOptions } from './render-options.ts';
import type { PlanCheck, SongCheck } from './song-check.ts';

const HEADINGS = ['', 'latest note', 'at', 'rms', '> 20 ms', 'peak 100 ms', 'mean', 'lead-in'];
const ALIGNS: readonly Align[] = ['left', 'right', 'right', 'right', 'right', 'right', 'right', 'right'];

/** The wire: every way to send the song beside the least that is possible, and the load over time. */
export function renderWire(
  { wire }: SongCheck,
  { ascii, clean }: Pick<RenderOptions, 'ascii' | 'clean'>,
): string[] {
  const running = wire.runningStatus ? 'with running status' : 'every message whole';
  const rows = [
    planRow('file order', wire.fileOrder),
    planRow('packed', wire.packed),
    ...(wire.thinned === null ? [] : [planRow(`thinned by ${wire.thinned.tolerance}`, wire.thinned)]),
    ...(wire.changed === null ? [] : [planRow('with the changes', wire.changed)]),
    // No rms here: the order that is least late at its worst is not the least late on the whole.
    ['least possible', millis(wire.boundMicros), '', '', '', '', '', ''],
  ];
  const where = wire.port === null ? 'Wire' : `Wire of ${clean(wire.port)}, the most pressed`;
  const lines = [
    `${where}: ${wire.baud} baud, ${running}; how late the last byte of a note-on is`,
    ...columnsText(HEADINGS, ALIGNS, rows),
  ];
  if (wire.thinned === null)
    lines.push('thinning has nothing to gain: packing is within one message of the least');
  else lines.push(`thinning leaves out ${counted(wire.thinned.dropped, 'message')}`);
  return [
    ...lines,
    'Load, the most of any 100 ms, packed',
    ...barChart(wire.curve, { rows: 4, top: 1, ascii, topLabel: '100 %', bottomLabel: '0 %' }),
  ];
}

function planRow(name: string, plan: PlanCheck): string[] {
  const isEarly = plan.worstOnsetDistanceMicros > plan.worstOnsetLatenessMicros;
  const worst = millis(plan.worstOnsetLatenessMicros);
  return [
    name,
    isEarly ? `${worst} (early ${millis(plan.worstOnsetDistanceMicros)})` : worst,
    barBeat(plan.worstAt),
    millis(plan.rmsOnsetLatenessMicros),
    String(plan.onsetsOver20ms),
    percent(plan.peakLoad100ms),
    percent(plan.meanLoad),
    millis(plan.leadInMicros),
  ];
}
