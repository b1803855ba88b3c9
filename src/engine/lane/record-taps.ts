import { counted } from '../../core/report/figure-text.ts';
import { Recording } from '../../files/recording.ts';
import { TapRing } from '../../ports/tap-ring.ts';
import { TappedPort } from '../../ports/tapped-port.ts';
import type { LanePort } from './wire-outlet.ts';

/** The main thread's half of recording a run: takes what the ports took out of shared memory, into a file. */
export interface KeptRecord {
  /** For `tapLanes` in the sending thread. */
  readonly ring: SharedArrayBuffer;
  close(): void;
}

/**
 * @param tell hears, once, why the record is not complete
 * @throws Refusal when the file exists or cannot be made
 */
export function keepRecord(
  path: string,
  ports: readonly string[],
  tell: (trouble: string) => void,
): KeptRecord {
  const ring = new TapRing();
  const recording = new Recording(path, ports);
  const tellTrouble = (): void => {
    const trouble = recording.takeTrouble();
    if (trouble !== undefined) tell(trouble);
  };
  const drain = (): void => {
    ring.drain((port, bytes, micros) => recording.feed(port, bytes, 0, bytes.length, micros));
    tellTrouble();
  };
  const timer = setInterval(drain, DRAIN_MS).unref();
  return {
    ring: ring.buffer,
    close() {
      clearInterval(timer);
      drain();
      if (ring.lost > 0)
        recording.remark(ports[0]!, 0, `${counted(ring.lost, 'message')} could not be recorded`);
      recording.close();
      tellTrouble();
    },
  };
}

/** The sending thread's half. */
export function tapLanes(lanes: readonly LanePort[], buffer: SharedArrayBuffer): LanePort[] {
  const ring = new TapRing(buffer);
  return lanes.map((lane, index) => ({
    ...lane,
    port: new TappedPort(lane.port, (bytes, start, length, at) => ring.put(index, bytes, start, length, at)),
  }));
}

/**
 * For a run in this very thread: straight into the file.
 * @throws Refusal when the file exists or cannot be made; the ports are closed
 */
export function recordLanes(
  lanes: readonly LanePort[],
  path: string,
): { readonly lanes: LanePort[]; readonly recording: Recording } {
  let recording: Recording;
  try {
    recording = new Recording(
      path,
      lanes.map(({ port }) => port.name),
      0,
    );
  } catch (error) {
    for (const { port } of lanes) port.close();
    throw error;
  }
  const tapped = lanes.map((lane, index) => ({
    ...lane,
    port: new TappedPort(lane.port, (bytes, start, length, at) =>
      recording.feed(index, bytes, start, start + length, at[0]!),
    ),
  }));
  return { lanes: tapped, recording };
}

/** With the record's own quarter of a second a killed run loses well under one. */
const DRAIN_MS = 100;
