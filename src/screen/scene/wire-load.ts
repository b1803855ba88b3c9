import { LOAD_SLOT_MICROS, LOAD_SLOTS, type ObservedState, Slot } from '../../core/observe/observed-state.ts';
import { PortSlot, type PortState } from '../../core/observe/port-state.ts';
import { songPosition } from '../../core/observe/song-position.ts';
import { plannedLoad } from '../state/planned-load.ts';
import type { LoadCurve, SongView } from '../state/song-view.ts';

/** Share of all wires used in the `windowMicros` before now, from whole slots of the load ring. */
export function loadBefore(observed: ObservedState, nowMicros: number, windowMicros: number): number {
  const { numbers, loadBytes } = observed;
  return shareOf(loadBytes, numbers[Slot.loadSlot]!, numbers[Slot.bytesPerSecond]!, nowMicros, windowMicros);
}

/** The same for the wire of one output. */
export function portLoadBefore(port: PortState, nowMicros: number, windowMicros: number): number {
  const { numbers, loadBytes } = port;
  const bytesPerSecond = numbers[PortSlot.bytesPerSecond]!;
  return shareOf(loadBytes, numbers[PortSlot.loadSlot]!, bytesPerSecond, nowMicros, windowMicros);
}

/** @param written latest slot written; those after it still hold what passed ten seconds ago */
function shareOf(
  ring: Uint32Array,
  written: number,
  bytesPerSecond: number,
  nowMicros: number,
  windowMicros: number,
): number {
  const slots = Math.min(LOAD_SLOTS - 1, Math.max(1, Math.round(windowMicros / LOAD_SLOT_MICROS)));
  // The slot that is filling now is left out: it would always look emptier than it is.
  const last = Math.floor(nowMicros / LOAD_SLOT_MICROS) - 1;
  let bytes = 0;
  for (let slot = Math.min(last, written); slot > last - slots && slot >= 0; slot -= 1)
    bytes += ring[slot % LOAD_SLOTS]!;
  const canCarry = (bytesPerSecond * slots * LOAD_SLOT_MICROS) / 1_000_000;
  return canCarry > 0 ? bytes / canCarry : 0;
}

/** The highest load that the plan foresees between two song times. */
export function highestLoad(
  { shares, windowMicros }: LoadCurve,
  fromMicros: number,
  toMicros: number,
): number {
  const from = Math.max(0, Math.floor(fromMicros / windowMicros));
  const to = Math.max(from + 1, Math.ceil(toMicros / windowMicros));
  let most = 0;
  for (let at = from; at < to && at < shares.length; at += 1) most = Math.max(most, shares[at]!);
  return most;
}

const ACROSS = new WeakMap<LoadCurve, { readonly durationMicros: number; readonly loads: Float64Array }>();

/**
 * The highest load in each of so many equal stretches of a song. A bar asks for it in every frame, and a long song has
 * tens of thousands of windows: it is reckoned once, until width or song are others.
 */
export function loadsAcross(curve: LoadCurve, durationMicros: number, stretches: number): Float64Array {
  const known = ACROSS.get(curve);
  if (known?.durationMicros === durationMicros && known.loads.length === stretches) return known.loads;
  const loads = Float64Array.from({ length: stretches }, (_, at) =>
    highestLoad(curve, (at * durationMicros) / stretches, ((at + 1) * durationMicros) / stretches),
  );
  ACROSS.set(curve, { durationMicros, loads });
  return loads;
}

/** How much the wire still has to send, in microseconds. */
export function backlogMicros(observed: ObservedState, nowMicros: number): number {
  return Math.max(0, observed.numbers[Slot.wireFreeMicros]! - nowMicros);
}

/** The mean load that the plan foresees between two song times. */
export function meanLoad({ shares, windowMicros }: LoadCurve, fromMicros: number, toMicros: number): number {
  const from = Math.max(0, Math.round(fromMicros / windowMicros));
  const to = Math.min(shares.length, Math.max(from + 1, Math.round(toMicros / windowMicros)));
  let sum = 0;
  for (let at = from; at < to; at += 1) sum += shares[at]!;
  return to > from ? sum / (to - from) : 0;
}

/**
 * How high a load stands in a curve: the square root of its share. Most songs fill a tenth of the wire, which a
 * straight scale would draw as a flat line; full is still full.
 */
export function loadHeight(load: number): number {
  return Math.sqrt(Math.min(1, Math.max(0, load)));
}

/** The figures of the wire as people can read them: renewed a few times a second, not at every frame. */
export interface WireFigures {
  /** Share of the wire used in the last half second, and what the plan foresaw for it. */
  readonly load: number;
  readonly planned: number;
  /** The most that waited since the figures before these, in microseconds. */
  readonly backlogMicros: number;
  /** Where there are several outputs: share of each one's wire used in the last half second. */
  readonly ports: readonly number[];
}

const READ_MICROS = 500_000;

export function wireFigures(
  observed: ObservedState,
  song: SongView,
  nowMicros: number,
  mostBacklogMicros: number,
): WireFigures {
  const position = songPosition(observed, nowMicros);
  return {
    load: loadBefore(observed, nowMicros, READ_MICROS),
    planned: meanLoad(plannedLoad(song, observed), position - READ_MICROS, position),
    backlogMicros: mostBacklogMicros,
    ports: (song.ports ?? []).map((_, index) => {
      return portLoadBefore(observed.ports[index]!, nowMicros, READ_MICROS);
    }),
  };
}
