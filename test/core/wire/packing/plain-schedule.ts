import { isNoteOff, isNoteOn } from '../../../../src/core/timeline/note-row.ts';
import { RowKind } from '../../../../src/core/wire/packing/row-rules.ts';
import { microsPerByte } from '../../../../src/core/wire/wire-traits.ts';
import { plainChordOrder } from './plain-chord-order.ts';
import type { Stages } from './stages.ts';

export interface Sent {
  readonly event: number[];
  readonly releaseMicros: number[];
}

/**
 * What `ListSchedule` decides, told without its queues: before each message all rows are looked through, and whether
 * one must wait for another is asked of the pair (docs/wire.md, "Order on a channel"). Takes time with the cube of
 * the rows.
 */
export function plainSchedule({ columns, traits, settings, moments, rules, costs, starts }: Stages): Sent {
  const rows = Array.from({ length: columns.count }, (_, row) => row);
  const byte = microsPerByte(traits);
  const channelOf = (row: number) => columns.status[row]! & 15;
  const is = (row: number, kind: number) => rules.kind[row] === kind;
  const isNote = (row: number) => isNoteOn(columns, row) || isNoteOff(columns, row);
  const isLoose = (row: number) => is(row, RowKind.release) || is(row, RowKind.repeat);
  /** Until then it gives way to note-ons: docs/wire.md, 3. */
  const patience = (row: number) =>
    columns.micros[row]! + (is(row, RowKind.release) ? settings.yieldMicros : 50_000);
  const isNeeded = (row: number) => starts.deadline[row]! < patience(row);

  /** `before` stands in front of `row` in the file, and `row` may not pass it. */
  const keepsBack = (before: number, row: number): boolean => {
    if (is(before, RowKind.barrier) || is(row, RowKind.barrier)) return true;
    if (channelOf(before) !== channelOf(row)) return false;
    if (is(before, RowKind.fence) || is(row, RowKind.fence)) return true;
    if (isNote(before) && isNote(row) && columns.data1[before] === columns.data1[row]) return true;
    return isLoose(before) && isLoose(row) && isNeeded(before) === isNeeded(row);
  };

  const handOver = rows.map((row) => starts.handOver[row]!);
  for (const row of rows) {
    if (is(row, RowKind.onset)) continue;
    for (const before of rows.slice(0, row)) {
      const isFence = is(row, RowKind.fence) || is(row, RowKind.barrier);
      const beforeIsFence = is(before, RowKind.fence) || is(before, RowKind.barrier);
      if ((isFence || beforeIsFence) && keepsBack(before, row))
        handOver[row] = Math.max(handOver[row]!, handOver[before]!);
    }
  }

  const sent: Sent = { event: [], releaseMicros: [] };
  const out = new Set<number>();
  const programs = new Uint8Array(16);
  let clock = -settings.leadInMicros;
  let release = -Infinity;
  let moment = 0;
  /** The status that the receiver holds, and when it was last told. */
  let held = 0;
  let heldSince = 0;

  const isFree = (row: number) =>
    rows.slice(0, row).every((before) => out.has(before) || !keepsBack(before, row));
  const due = () => (moment < moments.count ? moments.target[moment]! : Infinity);
  const leavesOut = (row: number) => traits.runningStatus === 'ours' && columns.status[row] === held;

  const send = (row: number): void => {
    release = Math.max(release, Math.min(handOver[row]!, due()));
    sent.event.push(row);
    sent.releaseMicros.push(release);
    out.add(row);
    const status = columns.status[row]!;
    if (costs.at(row) > 0) {
      const isTold = !leavesOut(row) || clock - heldSince >= 2_000_000;
      const began = clock;
      clock += costs.at(row) - (isTold ? 0 : byte);
      if (isTold) [held, heldSince] = status < 0xf0 ? [status, began] : [0, 0];
    }
    if ((status & 0xf0) === 0xc0) programs[channelOf(row)] = columns.data1[row]!;
  };

  /** Sends what keeps this note-on back: for a SysEx all before it channel by channel, then its own channel's rows. */
  const sendBefore = (note: number): void => {
    const open = () => rows.slice(0, note).filter((row) => !out.has(row));
    for (;;) {
      const barrier = open().find((row) => is(row, RowKind.barrier));
      if (barrier === undefined) break;
      const first = open().filter((row) => row < barrier);
      for (const row of first.sort((a, b) => channelOf(a) - channelOf(b) || a - b)) send(row);
      send(barrier);
    }
    const own = open().filter((row) => channelOf(row) === channelOf(note));
    const fence = own.findLast((row) => is(row, RowKind.fence)) ?? -1;
    for (const row of own.filter((one) => one <= fence)) send(row);
    for (const row of own.filter((one) => one > fence && keepsBack(one, note))) send(row);
  };

  const sendMoment = (): void => {
    const notes = [...moments.rows.subarray(moments.first[moment], moments.first[moment + 1])];
    const inOrder = plainChordOrder(columns, notes, {
      programs,
      held,
      strictFrom: rules.strictFrom,
      drumChannels: settings.drumChannels,
    });
    for (const note of inOrder) if (isFree(note)) send(note);
    const rest = inOrder.filter((note) => !out.has(note));
    for (const [i, note] of rest.entries()) {
      if (i > 0 && channelOf(rest[i - 1]!) === channelOf(note)) continue;
      const part = rest.filter((other) => channelOf(other) === channelOf(note));
      for (const one of part) if (!out.has(one)) sendBefore(one);
      for (const one of part) if (!out.has(one)) send(one);
    }
    moment += 1;
  };

  while (out.size < rows.length) {
    const now = Math.min(clock, due());
    const open = rows.filter((row) => !out.has(row) && !is(row, RowKind.onset) && isFree(row));
    const saved = (row: number) => (columns.status[row] === held ? byte : 0);
    const mayGo = (row: number) => {
      if (handOver[row]! > now) return false;
      if (patience(row) <= clock) return true;
      if (now >= due()) return false;
      return starts.need[row] === moment || now + costs.at(row) - saved(row) <= due();
    };
    const deadline = (row: number) => starts.deadline[row]! - 3 * saved(row);
    const [next] = open.filter(mayGo).sort((a, b) => deadline(a) - deadline(b) || a - b);
    if (next !== undefined) send(next);
    else if (clock >= due()) sendMoment();
    else clock = Math.min(due(), ...open.map((row) => handOver[row]!).filter((time) => time > now));
  }
  return sent;
}
