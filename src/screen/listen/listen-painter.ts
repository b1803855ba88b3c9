import { causeWords, liveWords } from '../../core/compare/live-words.ts';
import { faultsSince, Heard, type ListenState, packetsOf, SENSING } from '../../core/observe/listen-state.ts';
import { counted } from '../../core/report/figure-text.ts';
import { packetWords } from '../../core/report/packet-words.ts';
import type { Area } from '../cells/area.ts';
import type { CellGrid } from '../cells/cell-grid.ts';
import { drawText } from '../cells/draw-text.ts';
import { clockText } from '../format/moment.ts';
import type { Scene, SeenAgainst } from '../scene/scene.ts';
import type { Role } from '../theme/roles.ts';
import { faultText } from './fault-text.ts';

interface Fact {
  readonly text: string;
  readonly role: Role;
}

/** In the title line: what the sender's clock and Active Sensing say. */
export function paintSender(grid: CellGrid, area: Area, scene: Scene): void {
  if (scene.listen) paintFacts(grid, area, scene, senderFacts(scene.listen, scene.theme.glyphs.quarter));
}

/** In the place of the position bar: how much came, and how much of it was wrong. */
export function paintHeard(grid: CellGrid, area: Area, scene: Scene): void {
  if (!scene.listen) return;
  if (scene.against) {
    paintAgainst(grid, area, scene, scene.against);
    return;
  }
  const { numbers } = scene.listen;
  const faults = numbers[Heard.faults]!;
  const facts: Fact[] = [
    { text: clockText(scene.nowMicros), role: 'text' },
    { text: counted(numbers[Heard.messages]!, 'message'), role: 'text' },
    { text: counted(faults, 'fault'), role: faults > 0 ? 'warn' : 'good' },
    { text: counted(numbers[Heard.bytes]!, 'byte'), role: 'label' },
    { text: `${numbers[Heard.sysEx]} SysEx`, role: 'label' },
  ];
  const rest = numbers[Heard.rest]!;
  if (rest > 0) facts.push({ text: `${rest} before the first status`, role: 'label' });
  const packets = packetsOf(scene.listen);
  if (packets !== undefined) {
    facts.splice(2, 0, { text: packetWords(packets), role: packets.lost > 0 ? 'warn' : 'good' });
  }
  paintFacts(
    grid,
    { ...area, x: area.x + 1, width: area.width - 1, y: area.y + area.height - 1 },
    scene,
    facts,
  );
}

/** The same where a song is what ought to come: where it is, and what of it is not as written. */
function paintAgainst(grid: CellGrid, area: Area, { theme }: Scene, { view, timeline }: SeenAgainst): void {
  const width = area.width - 2;
  const texts = liveWords(view, timeline);
  const text = texts.find((each) => each.length <= width) ?? texts.at(-1)!;
  const notes = view?.soFar?.notes;
  const isWrong = view?.state === 'other' || (notes && notes.missing + notes.added + notes.changed > 0);
  const style = theme.styles[isWrong ? 'warn' : view?.soFar ? 'good' : 'label'];
  drawText(grid, area.x + 1, area.y + area.height - 1, text, style, width);
}

/** Below it: the latest fault, with its bytes. */
export function paintLatestFault(grid: CellGrid, area: Area, scene: Scene): void {
  const cause = scene.against?.view?.soFar?.causes[0];
  if (cause) {
    drawText(grid, area.x + 1, area.y, causeWords(cause), scene.theme.styles.warn, area.width - 2);
    return;
  }
  const total = scene.listen?.numbers[Heard.faults] ?? 0;
  if (!scene.listen || total === 0) return;
  const fault = faultsSince(scene.listen, total - 1).at(-1);
  if (!fault) return;
  const used = drawText(grid, area.x + 1, area.y, 'latest fault ', scene.theme.styles.label, area.width - 1);
  drawText(grid, area.x + 1 + used, area.y, faultText(fault), scene.theme.styles.warn, area.width - 1 - used);
}

function senderFacts({ numbers }: ListenState, quarter: string): Fact[] {
  const facts: Fact[] = [];
  const bpm = numbers[Heard.clockBpm]!;
  if (bpm > 0) {
    const runs = numbers[Heard.senderRunning] === 1;
    facts.push({ text: `clock ${quarter}${bpm.toFixed(1)}`, role: 'strong' });
    facts.push({ text: runs ? 'runs' : 'stopped', role: runs ? 'good' : 'label' });
  }
  if (numbers[Heard.sensing] === SENSING.alive) facts.push({ text: 'sensing alive', role: 'good' });
  if (numbers[Heard.sensing] === SENSING.lost) facts.push({ text: 'sensing lost', role: 'bad' });
  return facts;
}

function paintFacts(grid: CellGrid, area: Area, scene: Scene, facts: readonly Fact[]): void {
  let x = area.x;
  const end = area.x + area.width;
  for (const { text, role } of facts) {
    if (x + text.length > end) return;
    x += drawText(grid, x, area.y, text, scene.theme.styles[role], end - x) + 2;
  }
}
