/**
 * What the sending code leaves for the garbage collector, in bytes a message: the same scheduler, outlet and port
 * on a virtual clock, long enough to be compiled, then 100,000 messages between two looks at the young heap.
 * Started with a young generation so large that nothing is collected meanwhile. Prints one JSON object.
 */
import { getHeapSpaceStatistics } from 'node:v8';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { VirtualClock } from '../../../src/engine/clock/virtual-clock.ts';
import { WireOutlet } from '../../../src/engine/lane/wire-outlet.ts';
import { CommandRing } from '../../../src/engine/run/command-ring.ts';
import { EngineRun } from '../../../src/engine/run/engine-run.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { denseRows, planOfRows } from '../../engine/fixtures/plan-of-rows.ts';

const CHORDS = 24_000;
const clock = new VirtualClock();
const observed = createObservedState();
const outlet = new WireOutlet({ clock, observed, lanes: [{ port: new MockPort() }] });
const options = { plan: planOfRows(denseRows(CHORDS)), durationMicros: CHORDS * 80_000, outputs: [] };
const run = new EngineRun(options, outlet, observed, new CommandRing(), clock);
run.begin(options);

function youngBytes(): number {
  return getHeapSpaceStatistics().find(({ space_name }) => space_name === 'new_space')!.space_used_size;
}

function play(messages: number): void {
  const until = observed.numbers[Slot.messagesSent]! + messages;
  while (observed.numbers[Slot.messagesSent]! < until) {
    run.step();
    clock.set(run.wake[0]!);
  }
}

/** Growth of the young heap while this many messages are sent. Looking costs some bytes itself. */
function growth(messages: number): number {
  const before = youngBytes();
  play(messages);
  return youngBytes() - before;
}

play(400_000);
growth(0);
const looking = Math.min(growth(0), growth(0), growth(0));
const grown = [growth(100_000), growth(100_000), growth(100_000)];
process.stdout.write(JSON.stringify({ looking, grown }));
