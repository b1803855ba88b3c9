import type { Timeline } from '../../../src/core/timeline/timeline.ts';
import type { SendPlan } from '../../../src/core/wire/send-plan.ts';
import { openVirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { WireReader } from '../../support/wire-reader.ts';

/** What a receiver is left with, in words; undefined when it rests. */
export type LeftOver = string | undefined;

/** Plays a plan on the virtual clock, to its end or quit at a moment of chance, and reads what came down the wire. */
export async function playDamaged(
  plan: SendPlan,
  timeline: Timeline,
  chance: () => number,
): Promise<LeftOver> {
  const port = new MockPort({ record: true });
  const player = await openVirtualPlayer(
    { plan, durationMicros: timeline.durationMicros, outputs: [{ port: 'mock' }], settleMicros: 100_000 },
    [{ port }],
  );
  if (chance() < 0.5) player.advanceTo(chance() * Math.min(timeline.durationMicros, 20_000_000));
  else player.advanceTo(Number.MAX_SAFE_INTEGER);
  await player.close();
  await player.ended;
  const reader = new WireReader();
  reader.read(port.recorded().bytes);
  if (reader.sounding > 0) return `${reader.sounding} notes sound on`;
  if (reader.unrestful.length > 0) return `not at rest: ${reader.unrestful.join(' ')}`;
  return reader.faults.length > 0 ? `faults on the wire: ${reader.faults.slice(0, 3).join(', ')}` : undefined;
}
