import { bytesOfSysEx, type HeardMusic, type HeardNotes, type HeardSysEx } from './heard-music.ts';
import { KNOWN_BY_NOTES } from './live-pace.ts';
import type { SongPlace, SongPlaces } from './song-places.ts';
import type { WrittenMusic } from './written-music.ts';

/** By so many notes it is seen that the song begins again. */
const SEEN_BY_NOTES = 24;

/** The heard note with which the song is over, wherever it began; −1: at one place at least it goes on. */
export function overAt(places: readonly SongPlace[]): number {
  return places.length > 0 && places.every(({ overAt: at }) => at >= 0) ? places[0]!.overAt : -1;
}

/** Without those at which the song would be over though more came then, and not its beginning: there nobody came in. */
export function notLongOver(places: readonly SongPlace[], heardNotes: number): SongPlace[] {
  return places.filter(({ overAt: at }) => at < 0 || heardNotes - at < KNOWN_BY_NOTES);
}

/**
 * When the song begins again, if what comes from a heard note on, with which it is over, may be its beginning: with fewer than
 * `KNOWN_BY_NOTES` that is not sure.
 */
export function beginsAgain(
  places: SongPlaces,
  { micros }: WrittenMusic,
  on: HeardNotes,
  from: number,
  nowMicros: number,
): number | undefined {
  const count = Math.min(on.count, from + SEEN_BY_NOTES);
  const now = count < on.count ? on.micros[count]! : nowMicros;
  const [place] = places.find({ ...on, count }, from, now);
  const isBeginning = place !== undefined && micros[place.first] === micros[0];
  return isBeginning ? places.beginsAgainMicros(on, from) : undefined;
}

/** A day of a song of three minutes; whatever comes then is judged in one. */
const MOST_PASSES = 500;

/** A player in a loop: the recording of each time that the song was played, as long as it comes as written. */
export function passesOf(places: SongPlaces, written: WrittenMusic, heard: HeardMusic): HeardMusic[] {
  const passes: HeardMusic[] = [];
  const { on } = heard;
  let rest = heard;
  let from = 0;
  while (heard.hasTimes && passes.length < MOST_PASSES) {
    const found = places.find(on, from, heard.lastMicros);
    const over = overAt(found);
    if (over < 0 || on.count - over < KNOWN_BY_NOTES) break;
    const cut = beginsAgain(places, written, on, over, heard.lastMicros);
    if (cut === undefined) break;
    passes.push(between(heard, from, over, rest.beganMicros, cut));
    rest = between(heard, over, on.count, cut, Number.POSITIVE_INFINITY);
    from = over;
  }
  return [...passes, rest];
}

/** Some notes and what came with them. What was set before stays set. */
function between(
  heard: HeardMusic,
  from: number,
  to: number,
  beganMicros: number,
  endMicros: number,
): HeardMusic {
  const { on, state, faults } = heard;
  const set = state.micros.findIndex((micros) => micros >= endMicros);
  const isIn = (micros: number) => micros >= beganMicros && micros < endMicros;
  const kept = [...faults.micros.keys()].filter((n) => isIn(faults.micros[n]!));
  const sysEx = [...heard.sysEx.micros.keys()].filter((n) => isIn(heard.sysEx.micros[n]!));
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
    surplusOffs: 0,
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
