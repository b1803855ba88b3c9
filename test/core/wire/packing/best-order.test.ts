import fc from 'fast-check';
import { expect, test } from 'vitest';
import { isNoteOff, isNoteOn } from '../../../../src/core/timeline/note-row.ts';
import { onsetLatenessOf } from '../../../../src/core/wire/onset-lateness.ts';
import { packedPlan } from '../../../../src/core/wire/packed-plan.ts';
import { RowKind } from '../../../../src/core/wire/packing/row-rules.ts';
import { simulatePlan } from '../../../../src/core/wire/simulate-plan.ts';
import { MIDI_WIRE } from '../../../../src/core/wire/wire-traits.ts';
import { columnsOfRows } from '../columns-of.ts';
import { type Stages, stagesOf } from './stages.ts';

const BYTE = 320;

/** Four messages to seven within some milliseconds, of three channels and two keys. */
const small = fc
  .array(
    fc.tuple(
      fc.constantFrom(0, 0, 0, 500, 1500, 4000),
      fc.constantFrom(0, 1, 9),
      fc.oneof(
        fc.constantFrom(60, 64).map((key) => [0x90, key, 90]),
        fc.constantFrom(60, 64).map((key) => [0x90, key, 90]),
        fc.constantFrom(60, 64).map((key) => [0x80, key, 64]),
        fc.constantFrom([0xb0, 7, 90], [0xc0, 5], [0xb0, 64, 127]),
      ),
    ),
    { minLength: 4, maxLength: 7 },
  )
  .map((steps) => {
    let micros = 3_000_000;
    return columnsOfRows(
      steps.map(([wait, channel, [status, ...data]]) => {
        micros += wait;
        return { micros, bytes: [status! | channel, ...data] };
      }),
    );
  });

/**
 * The least that the latest note-on can be late, of all orders that docs/wire.md allows ("Order on a channel"): each
 * message begins as soon as the wire is free and it may be handed over.
 */
function leastLateness({ columns, rules, settings }: Stages): number {
  const rows = Array.from({ length: columns.count }, (_, row) => row);
  const channelOf = (row: number) => columns.status[row]! & 15;
  const isNote = (row: number) => isNoteOn(columns, row) || isNoteOff(columns, row);
  const isFence = (row: number) => rules.kind[row] === RowKind.fence;
  const keepsBack = (before: number, row: number): boolean =>
    channelOf(before) === channelOf(row) &&
    (isFence(before) ||
      isFence(row) ||
      (isNote(before) && isNote(row) && columns.data1[before] === columns.data1[row]) ||
      (isNoteOn(columns, before) &&
        isNoteOn(columns, row) &&
        columns.micros[before] !== columns.micros[row]));
  let least = Number.POSITIVE_INFINITY;
  const goOn = (out: ReadonlySet<number>, clock: number, held: number, late: number): void => {
    if (late >= least) return;
    if (out.size === rows.length) {
      least = late;
      return;
    }
    for (const row of rows) {
      if (out.has(row) || rows.some((before) => before < row && !out.has(before) && keepsBack(before, row)))
        continue;
      const status = columns.status[row]!;
      const bytes = ((status & 0xe0) === 0xc0 ? 2 : 3) - (status === held ? 1 : 0);
      const from = isNoteOn(columns, row) ? columns.micros[row]! : rules.earliest[row]!;
      const end = Math.max(clock, from) + bytes * BYTE;
      const own = isNoteOn(columns, row) ? end - columns.micros[row]! : 0;
      goOn(new Set([...out, row]), end, status, Math.max(late, own));
    }
  };
  goOn(new Set(), -settings.leadInMicros, 0, 0);
  return least;
}

test('small songs: the latest note is never earlier than in the best of all orders, and hardly later', () => {
  let [planned, least, same, count] = [0, 0, 0, 0];
  for (const columns of fc.sample(small, { numRuns: 120, seed: 9 })) {
    const stages = stagesOf(columns);
    const best = leastLateness(stages);
    const { worstMicros, onsets } = onsetLatenessOf(simulatePlan(packedPlan(columns, MIDI_WIRE), MIDI_WIRE));
    if (onsets === 0) continue;
    expect(worstMicros).toBeGreaterThanOrEqual(best);
    planned += worstMicros;
    least += best;
    count += 1;
    if (worstMicros === best) same += 1;
  }
  expect(planned).toBeLessThanOrEqual(1.02 * least);
  expect(same).toBeGreaterThanOrEqual(0.9 * count);
});
