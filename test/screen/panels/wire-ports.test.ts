import { describe, expect, test } from 'vitest';
import { createObservedState } from '../../../src/core/observe/create-observed-state.ts';
import { foldOnsetLateness, foldPortWire, foldWire } from '../../../src/core/observe/fold-wire.ts';
import { Slot } from '../../../src/core/observe/observed-state.ts';
import { PortSlot, PortTrouble } from '../../../src/core/observe/port-state.ts';
import { messageOf } from '../../../src/screen/panels/message-painter.ts';
import { paintWire } from '../../../src/screen/panels/wire-painter.ts';
import { describeChanges } from '../../../src/screen/plain/describe-changes.ts';
import { statusLine } from '../../../src/screen/plain/status-line.ts';
import { PortWatch } from '../../../src/screen/scene/port-watch.ts';
import type { Scene } from '../../../src/screen/scene/scene.ts';
import { painted, sceneWith } from '../../support/scene.ts';
import { screenSong } from '../../support/screen-song.ts';

/** Outputs by name and by how much of each wire (3,125 bytes a second: MIDI 1.0, p. 1) was used for a second. */
function scene(wires: Readonly<Record<string, number>>): Scene {
  const observed = createObservedState();
  const names = Object.keys(wires);
  observed.numbers[Slot.portCount] = names.length;
  observed.numbers[Slot.bytesPerSecond] = 3125 * names.length;
  for (const [index, load] of Object.values(wires).entries()) {
    const port = observed.ports[index]!;
    port.numbers[PortSlot.bytesPerSecond] = 3125;
    for (let at = 0; at < 1_000_000; at += 320 / load) {
      const span = Float64Array.of(at, at + 320, 0);
      foldPortWire(port, 1, span);
      foldWire(observed, -1, 1, span);
    }
    foldOnsetLateness(observed, port, Float64Array.of(0, 8_000_000, 0), Float64Array.of(0, 13_500 * load, 0));
  }
  const ports = names.map((name) => ({ name, port: `raw:/dev/midi-${name}` }));
  const song = { ...screenSong(), ports, portName: ports.map(({ port }) => port).join(' or ') };
  return sceneWith({ observed, song, nowMicros: 1_000_000 });
}

const panel = (shown: Scene, width: number) =>
  painted(width, 2, (grid, area) => paintWire(grid, area, shown)).lines;
const setTrouble = (shown: Scene, port: number, trouble: number, sinceMicros = 0) => {
  const { numbers } = shown.observed.ports[port]!;
  numbers[PortSlot.trouble] = trouble;
  numbers[PortSlot.troubleSinceMicros] = sinceMicros;
  const troubles = shown.observed.ports.map((each) => each.numbers[PortSlot.trouble]!);
  shown.observed.numbers[Slot.portTrouble] = Math.max(...troubles);
};

describe('several wires in the panel', () => {
  test('80 columns: each port’s load, and every figure that one port’s panel has', () => {
    const [first, second] = panel(scene({ a: 0.99, b: 0.05 }), 80);
    expect(first).toMatch(
      /^ wire a \S+ +99% b \S+ +5% {2}plan 0% +peak 99% +backlog 0\.0 ms +ahead [▁-█]{5,}$/,
    );
    expect(second).toMatch(
      /^ worst onset 13\.4 ms at 5:1 +hand-over 0\.0 ms {2}onset on a 13\.4, b 0\.7 ms$/,
    );
    const labels = /wire|plan|peak|backlog|ahead|worst onset|hand-over/g;
    const one = sceneWith({ nowMicros: 1_000_000 });
    expect(
      panel(scene({ a: 1, b: 1 }), 80)
        .join()
        .match(labels),
    ).toEqual(panel(one, 80).join().match(labels));
  });

  test.each([
    [80, { a: 0.99, b: 0.05, c: 0.5 }, ' wire a  99% b   5% c  50%  plan '],
    [80, { left: 0.99, right: 0.05 }, ' wire left  99% right   5%  plan '],
    [80, { strings: 0.99, winds: 0.05, kit: 0.3 }, ' wire s  99% w   5% k  30%  plan '],
    [40, { a: 0.99, b: 0.05 }, ' wire a  99% b   5%  backlog 0.0 ms'],
  ] as const)('%i columns, %j: figures alone, names cut as far as need be', (width, wires, shown) => {
    const [first] = panel(scene(wires), width);
    expect(first).toContain(shown);
    expect(first!.length).toBeLessThanOrEqual(width);
  });

  test('more wires than fit: the fullest; one that takes nothing before it; one that is gone before that', () => {
    const shown = scene({ a: 0.1, b: 0.2, c: 0.9, d: 0.3, e: 0.1 });
    const first = () => panel(shown, 80)[0];
    expect(first()).toMatch(/^ wire c [^ ]+ +90% {2}plan/);
    setTrouble(shown, 1, PortTrouble.heldUp);
    expect(first()).toMatch(/^ wire b .* full {2}plan/);
    setTrouble(shown, 4, PortTrouble.lost);
    expect(first()).toMatch(/^ wire e .* gone {2}plan/);
  });

  test('a lost one of two says so in its place', () => {
    const shown = scene({ a: 0.99, b: 0.05 });
    setTrouble(shown, 1, PortTrouble.lost);
    expect(panel(shown, 80)[0]).toMatch(/ 99% b +gone {2}plan/);
  });
});

describe('which of several ports it was', () => {
  test('the line that speaks names the one that is gone, or all of them', () => {
    const shown = scene({ a: 0.5, b: 0.5, c: 0.5 });
    setTrouble(shown, 2, PortTrouble.heldUp);
    expect(messageOf(shown)?.texts[0]).toBe('port c (raw:/dev/midi-c) is full and takes nothing now');
    setTrouble(shown, 1, PortTrouble.lost);
    expect(messageOf(shown)?.texts[0]).toBe('port b (raw:/dev/midi-b) is gone; the music goes on without it');
    setTrouble(shown, 2, PortTrouble.lost);
    expect(messageOf(shown)?.texts[0]).toBe('ports b and c are gone; the music goes on without them');
  });

  test('the log tells of each: gone, there again, held up for half a second and over it', () => {
    const shown = scene({ a: 0.5, b: 0.5 });
    const watch = new PortWatch();
    const look = (nowMicros: number) => watch.look({ ...shown, nowMicros });
    expect(look(0)).toEqual([]);
    setTrouble(shown, 0, PortTrouble.heldUp, 100_000);
    expect(look(300_000)).toEqual([]);
    setTrouble(shown, 0, PortTrouble.none, 350_000);
    setTrouble(shown, 1, PortTrouble.lost, 350_000);
    expect(look(400_000)).toEqual(['port b (raw:/dev/midi-b) is gone']);
    setTrouble(shown, 0, PortTrouble.heldUp, 500_000);
    setTrouble(shown, 1, PortTrouble.none, 900_000);
    expect(look(1_000_000)).toEqual([
      'port a (raw:/dev/midi-a) is full and takes nothing',
      'port b (raw:/dev/midi-b) is there again',
    ]);
    setTrouble(shown, 0, PortTrouble.none, 1_100_000);
    expect(look(1_200_000)).toEqual(['port a (raw:/dev/midi-a) takes bytes again']);
    expect(look(1_300_000)).toEqual([]);
  });

  test('so do the words for a screen reader and the line for a log', () => {
    const shown = scene({ a: 0.99, b: 0.05 });
    const teller = describeChanges(shown.song);
    teller.since(shown.observed, 1_000_000);
    setTrouble(shown, 1, PortTrouble.lost);
    expect(teller.since(shown.observed, 1_000_000)).toEqual(['port b (raw:/dev/midi-b) is gone']);
    const line = statusLine(shown.observed, shown.song, 1_000_000);
    expect(line).toMatch(/wire 5\d% \(a 99%, b 5%\) peak .*, port b lost$/);
    setTrouble(shown, 1, PortTrouble.none);
    expect(teller.since(shown.observed, 1_000_000)).toEqual(['port b (raw:/dev/midi-b) works again']);
  });
});
