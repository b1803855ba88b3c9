import { expect, test } from 'vitest';
import { MIDI_WIRE } from '../../src/core/wire/wire-traits.ts';
import { type OutputPort, WRITE_DONE, WRITE_FULL, WRITE_LOST } from '../../src/ports/output-port.ts';
import { TappedPort } from '../../src/ports/tapped-port.ts';

/** A port that answers everything with `yes`, and takes what it is asked to by `takes`. */
function rig(yes: boolean, takes: typeof WRITE_DONE | typeof WRITE_FULL | typeof WRITE_LOST = WRITE_DONE) {
  const said: string[] = [];
  const port: OutputPort = {
    name: 'inner',
    wire: MIDI_WIRE,
    write: () => takes,
    flush: () => yes,
    revive: () => yes,
    gone: () => yes,
    close: () => void said.push('closed'),
  };
  const tapped = new TappedPort(
    port,
    (bytes, start, length, at) => void said.push(`${[...bytes.subarray(start, start + length)]} at ${at[0]}`),
  );
  const write = () => tapped.write(Uint8Array.of(9, 0x90, 60, 1, 9), 1, 3, Float64Array.of(7));
  return { said, tapped, write };
}

test.each([true, false])('says what the port behind it says: %s', (yes) => {
  const { tapped, said } = rig(yes);
  expect([tapped.name, tapped.wire]).toEqual(['inner', MIDI_WIRE]);
  expect([tapped.flush(), tapped.revive(), tapped.gone()]).toEqual([yes, yes, yes]);
  tapped.close();
  expect(said).toEqual(['closed']);
});

test('a port that is never gone and cannot come back need not say so', () => {
  const port: OutputPort = {
    name: 'plain',
    wire: MIDI_WIRE,
    write: () => WRITE_DONE,
    flush: () => true,
    close() {},
  };
  const tapped = new TappedPort(port, () => {});
  expect([tapped.revive(), tapped.gone()]).toEqual([false, false]);
});

test('the tap hears what the port took, and nothing else', () => {
  const taken = rig(true);
  expect([taken.write(), taken.said]).toEqual([WRITE_DONE, ['144,60,1 at 7']]);
  for (const outcome of [WRITE_FULL, WRITE_LOST] as const) {
    const other = rig(true, outcome);
    expect([other.write(), other.said]).toEqual([outcome, []]);
  }
});
