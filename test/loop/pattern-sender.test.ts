import { describe, expect, test } from 'vitest';
import { loopPattern } from '../../src/core/loop/loop-pattern.ts';
import { MIDI_WIRE } from '../../src/core/wire/wire-traits.ts';
import { RunClock } from '../../src/engine/clock/run-clock.ts';
import { PatternSender } from '../../src/loop/pattern-sender.ts';
import {
  type OutputPort,
  WRITE_DONE,
  WRITE_FULL,
  WRITE_LOST,
  type WriteOutcome,
} from '../../src/ports/output-port.ts';
import { WireReader } from '../support/wire-reader.ts';

/** So quick that a test need not wait. */
const QUICK = { ...MIDI_WIRE, baud: 4_000_000 };
const PATTERN = loopPattern({ quiet: false, rounds: 1, whole: false });

/** A port that takes bytes until it is told otherwise. */
class TestPort implements OutputPort {
  readonly name = 'test';
  readonly wire = QUICK;
  readonly reader = new WireReader();
  bytes = 0;
  outcome: (bytes: number) => WriteOutcome = () => WRITE_DONE;
  isBack = false;

  write(bytes: Uint8Array, start: number, length: number): WriteOutcome {
    const outcome = this.outcome(this.bytes);
    if (outcome !== WRITE_DONE) return outcome;
    this.bytes += length;
    this.reader.read(bytes.subarray(start, start + length));
    return outcome;
  }

  flush(): boolean {
    return true;
  }

  revive(): boolean {
    if (this.isBack) this.outcome = () => WRITE_DONE;
    return this.isBack;
  }

  close(): void {}
}

async function sendTo(port: TestPort) {
  const sender = new PatternSender(port, PATTERN, new RunClock());
  await sender.run();
  await sender.silence();
  return sender.sending;
}

/** In the middle of a note: after a note-on of the full burst. */
const IN_A_NOTE = (() => {
  const reader = new WireReader();
  for (let step = 0; step < PATTERN.steps.length; step += 1) {
    reader.read(PATTERN.steps[step]!.bytes);
    if (PATTERN.steps[step]!.section === 'full' && reader.sounding > 0) return PATTERN.start[step + 1]!;
  }
  throw new Error('no note in the burst');
})();

describe('PatternSender', () => {
  test('hands everything over, in order, and ends in silence', async () => {
    const port = new TestPort();
    const { handedMicros, isLost } = await sendTo(port);
    expect(isLost).toBe(false);
    expect([...handedMicros].every((micros, step) => step === 0 || micros >= handedMicros[step - 1]!)).toBe(
      true,
    );
    expect(port.bytes).toBeGreaterThanOrEqual(PATTERN.bytes.length);
    expect(port.reader.sounding).toBe(0);
  });

  test('waits for a port that is full, and tells how long', async () => {
    const port = new TestPort();
    let times = 0;
    port.outcome = (bytes) => {
      times += bytes >= IN_A_NOTE ? 1 : 0;
      return times > 0 && times < 20 ? WRITE_FULL : WRITE_DONE;
    };
    const { heldMicros, isLost } = await sendTo(port);
    expect(isLost).toBe(false);
    expect(heldMicros).toBeGreaterThan(10_000);
    expect(port.reader.sounding).toBe(0);
  });

  test('a port that is lost in a note gets the silence when it is back, and no more of the pattern', async () => {
    const port = new TestPort();
    port.outcome = (bytes) => (bytes >= IN_A_NOTE ? WRITE_LOST : WRITE_DONE);
    setTimeout(() => {
      port.isBack = true;
    }, 100);
    const { isLost } = await sendTo(port);
    expect(isLost).toBe(true);
    expect(port.reader.sounding).toBe(0);
    const noteOns = port.reader.noteOns.length;
    expect(noteOns).toBeLessThan(30);
  });
});
