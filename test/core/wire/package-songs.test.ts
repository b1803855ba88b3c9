import { describe, expect, test } from 'vitest';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import { fileOrderPlan } from '../../../src/core/wire/file-order-plan.ts';
import { onsetBound } from '../../../src/core/wire/onset-bound.ts';
import { onsetLatenessOf } from '../../../src/core/wire/onset-lateness.ts';
import { onsetRangeOf } from '../../../src/core/wire/onset-range.ts';
import { packedPlan } from '../../../src/core/wire/packed-plan.ts';
import type { SendPlan } from '../../../src/core/wire/send-plan.ts';
import { simulatePlan } from '../../../src/core/wire/simulate-plan.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';

import { DEBIAN_SONGS, debianSongs, npmSongs, type PackageSong } from '../../support/package-songs.ts';
import { ChannelFold } from './channel-fold.ts';
import { laterStates } from './later-states.ts';

const foldOf = ({ columns, event }: SendPlan) => {
  const receiver = new ChannelFold();
  for (const row of event) receiver.take(columns, row);
  return receiver;
};

const rowsThatDiffer = (filed: ChannelFold, packed: ChannelFold) =>
  [...filed.onsets].filter(([row, state]) => packed.onsets.get(row) !== state).map(([row]) => row);

/** @param isWhole whether the plan without setup first and the one with early notes are judged as well */
function judge({ bytes }: PackageSong, isWhole = true): void {
  const { columns } = buildTimeline(readSong(bytes));
  const filed = fileOrderPlan(columns);
  const packed = packedPlan(columns, MIDI_WIRE);

  const inOrder = foldOf(filed);
  const kept = isWhole ? foldOf(packedPlan(columns, MIDI_WIRE, { setupFirst: false })) : inOrder;
  expect(rowsThatDiffer(inOrder, kept)).toEqual([]);
  const replayed = foldOf(packed);
  const later = laterStates(columns, new Set(rowsThatDiffer(inOrder, replayed)));
  for (const [row, states] of later) expect(states).toContain(replayed.onsets.get(row));
  for (const { releases, end } of [kept, replayed].map((one) => ({
    releases: one.releases,
    end: one.end(),
  }))) {
    expect(releases).toEqual(inOrder.releases);
    expect(end).toBe(inOrder.end());
  }

  const before = onsetLatenessOf(simulatePlan(filed, MIDI_WIRE));
  const after = onsetLatenessOf(simulatePlan(packed, MIDI_WIRE));
  expect(after.worstMicros).toBeLessThanOrEqual(before.worstMicros);
  expect(onsetRangeOf(packed, MIDI_WIRE)).toEqual({
    latestMicros: after.worstMicros,
    distanceMicros: after.distanceMicros,
  });
  expect(after.worstMicros).toBeGreaterThanOrEqual(onsetBound(columns, MIDI_WIRE).worstMicros - 320);
  if (!isWhole) return;
  const early = onsetLatenessOf(
    simulatePlan(packedPlan(columns, MIDI_WIRE, { earlyMicros: 50_000 }), MIDI_WIRE),
  );
  expect(early.distanceMicros).toBeLessThanOrEqual(after.distanceMicros);
}

describe('packing real songs keeps the sound and is never later', () => {
  for (const song of npmSongs()) test(song.name, () => judge(song));
});

describe.skipIf(DEBIAN_SONGS === undefined)('and those of the Debian packages (WIREPIT_SONGS)', () => {
  for (const [at, song] of debianSongs().entries()) test(song.name, () => judge(song, at % 3 === 0));
});
