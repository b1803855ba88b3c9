import { firstNotBefore } from '../timeline/sorted-values.ts';
import { bytesOfSysEx, type HeardMusic, type HeardSysEx } from './heard-music.ts';

/**
 * Some notes of a recording and what came with them. What was set before stays set.
 * @param from first note; and `to`, the first that is not in it
 * @param beganMicros recording's time from which on, and before which, everything else is in it
 */
export function heardPart(
  heard: HeardMusic,
  from: number,
  to: number,
  beganMicros: number,
  endMicros: number,
): HeardMusic {
  const { on, state, faults } = heard;
  const set = state.micros.findIndex((micros) => micros >= endMicros);
  // What is broken may have come before the first message.
  const begin = from === 0 ? Number.NEGATIVE_INFINITY : beganMicros;
  const isIn = (micros: number) => micros >= begin && micros < endMicros;
  const kept = [...faults.micros.keys()].filter((n) => isIn(faults.micros[n]!));
  const sysEx = [...heard.sysEx.micros.keys()].filter((n) => isIn(heard.sysEx.micros[n]!));
  const begins = from === 0 ? 0 : messageAt(heard, from, beganMicros);
  const ends = to < on.count ? messageAt(heard, to, endMicros) : heard.messages;
  const messages = ends - begins;
  const last = Math.max(
    on.micros[to - 1] ?? beganMicros,
    on.offMicros.subarray(from, to).reduce((most, at) => (isIn(at) ? Math.max(most, at) : most), beganMicros),
  );
  return {
    ...heard,
    beganMicros,
    isTorn: heard.isTorn && from === 0,
    lastMicros: Math.min(heard.lastMicros, endMicros === Number.POSITIVE_INFINITY ? heard.lastMicros : last),
    on: {
      count: to - from,
      micros: on.micros.subarray(from, to),
      channel: on.channel.subarray(from, to),
      key: on.key.subarray(from, to),
      velocity: on.velocity.subarray(from, to),
      offMicros: on.offMicros.subarray(from, to),
      message: on.message.subarray(from, to),
      statusBefore: on.statusBefore.subarray(from, to),
    },
    messages,
    bytes: Math.round((heard.bytes * messages) / Math.max(1, heard.messages)),
    surplusOffs: heard.surplusOffs.filter((message) => message >= begins && message < ends),
    said: {
      status: heard.said.status.subarray(begins, ends),
      data1: heard.said.data1.subarray(begins, ends),
      data2: heard.said.data2.subarray(begins, ends),
    },
    state: { ...state, count: set < 0 ? state.count : set },
    sysEx: sysExOf(heard.sysEx, sysEx),
    faults: {
      count: kept.length,
      micros: Float64Array.from(kept, (n) => faults.micros[n]!),
      kind: Uint8Array.from(kept, (n) => faults.kind[n]!),
      message: Uint32Array.from(kept, (n) => faults.message[n]!),
      byKind: faults.byKind.map((_, kind) => kept.filter((n) => faults.kind[n] === kind).length),
    },
    bursts: heard.bursts.filter(isIn),
    burstMessage: heard.burstMessage.filter((_, n) => isIn(heard.bursts[n]!)),
  };
}

/** The first message of what begins at a moment, with a note or with what is set before it. */
function messageAt({ on, bursts, burstMessage, messages }: HeardMusic, note: number, micros: number): number {
  return Math.min(on.message[note]!, burstMessage[firstNotBefore(bursts, micros)] ?? messages);
}

function sysExOf(all: HeardSysEx, some: readonly number[]): HeardSysEx {
  const contents = some.map((n) => bytesOfSysEx(all, n));
  let length = 0;
  const end = Uint32Array.from(contents, (content) => {
    length += content.length;
    return length;
  });
  return {
    count: some.length,
    micros: Float64Array.from(some, (n) => all.micros[n]!),
    cut: Uint8Array.from(some, (n) => all.cut[n]!),
    message: Uint32Array.from(some, (n) => all.message[n]!),
    bytes: Uint8Array.from(contents.flatMap((content) => [...content])),
    end,
  };
}
