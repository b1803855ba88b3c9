import { expect, test } from 'vitest';
import { LeftFromBefore } from '../../../src/cli/play/left-from-before.ts';
import { PortReturn } from '../../../src/cli/show/port-return.ts';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { PortTrouble } from '../../../src/core/observe/port-state.ts';
import type { PlayerOptions } from '../../../src/engine/run/player-options.ts';
import { openVirtualPlayer, type VirtualPlayer } from '../../../src/engine/run/virtual-player.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';
import { WRITE_LOST, type WriteOutcome } from '../../../src/ports/output-port.ts';
import { planOfRows, type Row } from '../../engine/fixtures/plan-of-rows.ts';
import { WireReader } from '../../support/wire-reader.ts';

/** A module that stays on while its cable is out. */
class Cable extends MockPort {
  isIn = true;
  readonly module = new WireReader();

  override write(bytes: Uint8Array, start: number, length: number, at: Float64Array): WriteOutcome {
    if (!this.isIn) return WRITE_LOST;
    this.module.read(bytes.slice(start, start + length));
    return super.write(bytes, start, length, at);
  }

  gone(): boolean {
    return !this.isIn;
  }

  revive(): boolean {
    return this.isIn;
  }
}

/** Two seconds: a pedal and a bend that the song leaves, a note in each second. */
const SONG: readonly Row[] = [
  [0, 0xb0, 64, 127],
  [0, 0xe0, 0, 90],
  [0, 0x90, 60, 80],
  [900_000, 0x80, 60, 64],
  [1_000_000, 0x90, 62, 80],
  [1_900_000, 0x80, 62, 64],
  [2_000_000, 0xb1, 7, 100],
];

function options(rows: readonly Row[] = SONG): PlayerOptions {
  const plan = planOfRows(rows);
  return {
    plan,
    durationMicros: 2_000_000,
    outputs: [{ port: 'mock' }],
    whenPortLost: 'pause',
    waitForDevice: true,
  };
}

/** As a show does it, five times a second. */
function play(player: VirtualPlayer, toMicros: number, portReturn = new PortReturn(0)): void {
  for (let now = player.nowMicros() + 200_000; now <= toMicros && player.advanceTo(now); now += 200_000) {
    player.lookAfterPorts();
    const isLost = player.observed.numbers[Slot.portTrouble] === PortTrouble.lost;
    for (const command of portReturn.look(isLost)) player.send(command);
  }
}

test('a song whose port went is begun anew when it is back, and ends', async () => {
  const port = new Cable();
  const player = await openVirtualPlayer(options(), [{ port }]);
  const portReturn = new PortReturn(0);
  play(player, 1_400_000, portReturn);
  port.isIn = false;
  play(player, 9_000_000, portReturn);
  expect(player.observed.numbers[Slot.ended]).toBe(0);
  port.isIn = true;
  play(player, 30_000_000, portReturn);
  expect(player.observed.numbers[Slot.ended]).toBe(1);
  expect(port.module.noteOns.map(({ key }) => key)).toEqual([60, 62, 60, 62]);
  expect(port.module.sounding).toBe(0);
  expect(port.module.unrestful).toEqual([]);
});

test('what a song leaves at a port that is gone as it ends, a later one brings to rest when the port is there', async () => {
  const port = new Cable();
  const left = new LeftFromBefore();
  const first = options();
  const one = await openVirtualPlayer(left.with(first), [{ port }]);
  play(one, 1_800_000);
  port.isIn = false;
  await one.close(); // a person goes on to the next
  left.ended(one, first);
  expect(port.module.unrestful).toEqual(['0:cc64', '0:bend']);
  // The next does not find it either.
  const second = options([
    [0, 0x91, 60, 80],
    [10, 0x81, 60, 64],
  ]);
  const two = await openVirtualPlayer(left.with(second), [{ port }]);
  await two.close();
  left.ended(two, second);
  const third = options([
    [0, 0x91, 60, 80],
    [10, 0x81, 60, 64],
  ]);
  const three = await openVirtualPlayer(left.with(third), [{ port }]);
  play(three, 500_000);
  port.isIn = true;
  play(three, 30_000_000);
  left.ended(three, third);
  expect(port.module.unrestful).toEqual([]);
  expect(port.module.sounding).toBe(0);
  expect(left.with(third)).toBe(third);
});
