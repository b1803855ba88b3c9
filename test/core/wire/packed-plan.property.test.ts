import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isNoteOff, isNoteOn } from '../../../src/core/timeline/note-row.ts';
import type { TimelineColumns } from '../../../src/core/timeline/timeline.ts';
import { fileOrderPlan } from '../../../src/core/wire/file-order-plan.ts';
import { rowBytes } from '../../../src/core/wire/message-length.ts';
import { onsetLatenessOf } from '../../../src/core/wire/onset-lateness.ts';
import { packedPlan } from '../../../src/core/wire/packed-plan.ts';
import { PACK_DEFAULTS, type PackOptions } from '../../../src/core/wire/packing/pack-options.ts';
import type { SendPlan } from '../../../src/core/wire/send-plan.ts';
import { simulatePlan } from '../../../src/core/wire/simulate-plan.ts';
import { MIDI_WIRE, type WireTraits } from '../../../src/core/wire/wire-traits.ts';
import { ChannelFold } from './channel-fold.ts';
import { laterStates } from './later-states.ts';
import { randomOptions, randomTraits } from './random-packing.ts';
import { randomColumns } from './random-song.ts';

const RUNS = { numRuns: 120 };

/** Packs without the last resort (the file's own order), which would hide what packing does wrong. */
const pack = (columns: TimelineColumns, traits: WireTraits, options: PackOptions) =>
  packedPlan(columns, traits, { ...options, fallBack: false });

function holds(judge: (plan: SendPlan, options: Required<PackOptions>, traits: WireTraits) => void) {
  fc.assert(
    fc.property(randomColumns, randomOptions, randomTraits, (columns, options, traits) => {
      judge(pack(columns, traits, options), { ...PACK_DEFAULTS, ...options }, traits);
    }),
    RUNS,
  );
}

/** Place of each timeline row in the plan. */
function placesOf(plan: SendPlan): Uint32Array {
  const places = new Uint32Array(plan.count);
  for (let i = 0; i < plan.count; i++) places[plan.event[i]!] = i;
  return places;
}

function fold(columns: TimelineColumns, rows: Iterable<number>): ChannelFold {
  const receiver = new ChannelFold();
  for (const row of rows) receiver.take(columns, row);
  return receiver;
}

/** What of a state a note reads as it begins: program and bank, portamento, Soft, Sostenuto, times, what was reset. */
function readAtOnset(line: string): unknown {
  const [{ program, controller, dataEntries, resets, prefix }, keyPressure, sysExSeen] = JSON.parse(line);
  const read = [0, 5, 32, 65, 66, 67, 68, 72, 73, 75, 84].map((number) => controller[number]);
  return { program, read, dataEntries, resets, prefix, keyPressure, sysExSeen };
}

/** The notes of a song that are struck once and released once before the key is struck again. */
function spansOf(columns: TimelineColumns): { row: number; from: number; to: number }[] {
  const spans: { row: number; from: number; to: number }[] = [];
  const open = new Map<number, number>();
  for (let row = 0; row < columns.count; row++) {
    const note = (columns.status[row]! & 15) * 128 + columns.data1[row]!;
    if (isNoteOn(columns, row)) open.set(note, row);
    else if (isNoteOff(columns, row) && open.has(note)) {
      const from = open.get(note)!;
      spans.push({ row: from, from: columns.micros[from]!, to: columns.micros[row]! });
      open.delete(note);
    }
  }
  return spans;
}

describe('a packed plan of any song', () => {
  test('sends every message once', () => {
    holds((plan) => {
      expect(Array.from(plan.event).sort((a, b) => a - b)).toEqual(
        Array.from({ length: plan.count }, (_, i) => i),
      );
    });
  });

  test('never hands over backwards, and hands every note-on over by its moment and no earlier than allowed', () => {
    holds((plan, { earlyMicros, leadInMicros }) => {
      let before = -leadInMicros;
      for (let i = 0; i < plan.count; i++) {
        const release = plan.releaseMicros[i]!;
        expect(release).toBeGreaterThanOrEqual(before);
        before = release;
        const due = plan.columns.micros[plan.event[i]!]!;
        if (!isNoteOn(plan.columns, plan.event[i]!)) continue;
        expect(release).toBeLessThanOrEqual(due);
        expect(release).toBeGreaterThanOrEqual(due - earlyMicros);
      }
    });
  });

  test("in the file's order every note begins in the state that file order gives its channel", () => {
    fc.assert(
      fc.property(randomColumns, randomOptions, randomTraits, (columns, options, traits) => {
        const plan = pack(columns, traits, { ...options, setupFirst: false });
        const filed = fold(columns, fileOrderPlan(columns).event);
        const packed = fold(columns, plan.event);
        for (const [row, state] of filed.onsets) expect(packed.onsets.get(row)).toBe(state);
        expect(packed.end()).toBe(filed.end());
      }),
      RUNS,
    );
  });

  test('with setup first it begins in that state, or in one its channel has later in the same moment', () => {
    fc.assert(
      fc.property(randomColumns, randomOptions, randomTraits, (columns, options, traits) => {
        const filed = fold(columns, fileOrderPlan(columns).event);
        const packed = fold(columns, pack(columns, traits, { ...options, setupFirst: true }).event);
        const later = laterStates(columns, new Set(filed.onsets.keys()));
        for (const [row, state] of filed.onsets) {
          expect([state, ...later.get(row)!]).toContain(packed.onsets.get(row));
        }
        expect(packed.end()).toBe(filed.end());
      }),
      RUNS,
    );
  });

  test('with setup first, what a note reads as it begins is in its place from the second moment of a part on', () => {
    fc.assert(
      fc.property(randomColumns, randomOptions, (columns, options) => {
        const filed = fold(columns, fileOrderPlan(columns).event);
        const packed = fold(columns, pack(columns, MIDI_WIRE, { ...options, setupFirst: true }).event);
        const entered = new Map<number, number>();
        for (const [row, state] of filed.onsets) {
          const channel = columns.status[row]! & 15;
          const moment = columns.micros[row]!;
          if (!entered.has(channel)) entered.set(channel, moment);
          if (entered.get(channel) === moment) continue;
          expect(readAtOnset(packed.onsets.get(row)!)).toEqual(readAtOnset(state));
        }
      }),
      RUNS,
    );
  });

  test('every note-off meets the pedals, mode messages and SysEx that file order would have it meet', () => {
    holds((plan) => {
      const filed = fold(plan.columns, fileOrderPlan(plan.columns).event);
      expect(fold(plan.columns, plan.event).releases).toEqual(filed.releases);
    });
  });

  test('notes of one key keep their order', () => {
    holds((plan) => {
      const { columns } = plan;
      const places = placesOf(plan);
      const last = new Map<number, number>();
      for (let row = 0; row < columns.count; row++) {
        if (!isNoteOn(columns, row) && !isNoteOff(columns, row)) continue;
        const note = (columns.status[row]! & 15) * 128 + columns.data1[row]!;
        const before = last.get(note);
        if (before !== undefined) expect(places[before]!).toBeLessThan(places[row]!);
        last.set(note, row);
      }
    });
  });

  test('once a channel glides or is mono, it keeps the order of all its messages', () => {
    holds((plan) => {
      const { columns } = plan;
      const places = placesOf(plan);
      for (let channel = 0; channel < 16; channel++) {
        let strict = false;
        let before = -1;
        for (let row = 0; row < columns.count; row++) {
          if (columns.status[row]! >= 0xf0 || (columns.status[row]! & 15) !== channel) continue;
          if (strict) expect(places[row]!).toBeGreaterThan(before);
          if (strict) before = places[row]!;
          const number = (columns.status[row]! & 0xf0) === 0xb0 ? columns.data1[row]! : -1;
          const on = columns.data2[row]! >= 64;
          if ([126, 84, 88].includes(number) || ([65, 68].includes(number) && on)) strict = true;
        }
      }
    });
  });

  test('state moves early no further than allowed, note-offs never before the middle of their note', () => {
    holds((plan, options) => {
      const { columns } = plan;
      const struck = new Map<number, number>();
      const places = placesOf(plan);
      for (let row = 0; row < columns.count; row++) {
        const release = plan.releaseMicros[places[row]!]!;
        const due = columns.micros[row]!;
        const note = (columns.status[row]! & 15) * 128 + columns.data1[row]!;
        // With early notes, what must precede them may be as early as they are.
        if (isNoteOn(columns, row)) {
          struck.set(note, due);
        } else if (isNoteOff(columns, row)) {
          const middle = ((struck.get(note) ?? 0) + due) / 2;
          const early = Math.max(
            due - Math.max(options.offEarlyMicros, options.earlyMicros),
            middle - options.earlyMicros,
          );
          expect(release).toBeGreaterThanOrEqual(early);
        } else {
          const early = Math.max(options.setupEarlyMicros, options.stateEarlyMicros, options.earlyMicros);
          expect(release).toBeGreaterThanOrEqual(due - early);
        }
      }
    });
  });

  test('on the wire nothing begins before it is handed over, and nothing overlaps', () => {
    holds((plan, options, traits) => {
      const run = simulatePlan(plan, traits, options);
      let free = Number.NEGATIVE_INFINITY;
      for (let i = 0; i < plan.count; i++) {
        const bytes = rowBytes(plan.columns, plan.event[i]!);
        if (run.startMicros[i] === run.endMicros[i]) continue;
        expect(run.startMicros[i]!).toBeGreaterThanOrEqual(Math.max(plan.releaseMicros[i]!, free));
        const took = run.endMicros[i]! - run.startMicros[i]!;
        const whole = (bytes * traits.bitsPerByte * 1_000_000) / traits.baud;
        expect(took).toBeLessThanOrEqual(whole + 1e-6);
        free = run.endMicros[i]! + traits.gapMicros - 1e-6;
      }
    });
  });

  test('on a wire with room for everything, everything is on its moment', () => {
    const fast: WireTraits = { ...MIDI_WIRE, baud: 31_250_000 };
    fc.assert(
      fc.property(randomColumns, (columns) => {
        const plan = pack(columns, fast, { setupEarlyMicros: 500, offEarlyMicros: 500, leadInMicros: 500 });
        const run = simulatePlan(plan, fast);
        for (let i = 0; i < plan.count; i++) {
          expect(Math.abs(run.endMicros[i]! - columns.micros[plan.event[i]!]!)).toBeLessThan(1000);
        }
      }),
      RUNS,
    );
  });

  test('what a sounding note hears moves early by no more than allowed', () => {
    holds((plan, options) => {
      const { columns } = plan;
      const places = placesOf(plan);
      const allowed = Math.max(options.stateEarlyMicros, options.earlyMicros);
      for (const { row, from, to } of spansOf(columns)) {
        for (let other = row + 1; other < columns.count; other++) {
          const due = columns.micros[other]!;
          const status = columns.status[other]!;
          if (status >= 0xf0 || (status & 15) !== (columns.status[row]! & 15)) continue;
          const isHeard =
            (status & 0xf0) === 0xe0 || ((status & 0xf0) === 0xb0 && columns.data1[other] === 7);
          if (!isHeard || due <= from || due >= to) continue;
          expect(plan.releaseMicros[places[other]!]!).toBeGreaterThanOrEqual(due - allowed);
        }
      }
    });
  });

  test('is never worse than file order, nor with early notes than without', () => {
    fc.assert(
      fc.property(randomColumns, randomOptions, randomTraits, (columns, options, traits) => {
        const of = (plan: SendPlan) => onsetLatenessOf(simulatePlan(plan, traits, options));
        const filed = of(fileOrderPlan(columns));
        const packed = of(packedPlan(columns, traits, options));
        const onTime = of(packedPlan(columns, traits, { ...options, earlyMicros: 0 }));
        expect(onTime.worstMicros).toBeLessThanOrEqual(filed.worstMicros);
        expect(packed.distanceMicros).toBeLessThanOrEqual(onTime.distanceMicros);
      }),
      RUNS,
    );
  });
});
