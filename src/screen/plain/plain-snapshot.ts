import { keyName } from '../../core/midi/key-names.ts';
import { followedClock } from '../../core/observe/followed-clock.ts';
import { type ObservedState, Slot, type TransportState } from '../../core/observe/observed-state.ts';
import { countInMicros, songPosition, transportState } from '../../core/observe/song-position.ts';
import {
  findStuckNotes,
  STUCK_CAUSES,
  STUCK_LIMITS,
  type StuckLimits,
} from '../../core/observe/stuck-notes.ts';
import { cleanText } from '../format/text-cleaning.ts';
import { laneName } from '../lanes/lane-name.ts';
import { clockWords } from '../state/clock-words.ts';
import type { SongView } from '../state/song-view.ts';
import { portTrouble, portWords } from '../state/troubled-ports.ts';

/** What can be told in words at a moment: compared with the next one by `changesBetween`. */
export interface PlainSnapshot {
  readonly state: TransportState | 'counting in';
  readonly bar: number;
  readonly marker: string;
  readonly tempoPercent: number;
  readonly transpose: number;
  /** By channel: what plays there, '' for nothing yet. */
  readonly names: readonly string[];
  readonly muted: readonly boolean[];
  readonly soloed: readonly boolean[];
  /** Stuck notes in words, by a name that stays the same while they are stuck. */
  readonly stuckWords: ReadonlyMap<string, string>;
  /** Each output as it is called, and one of `PortTrouble`. */
  readonly ports: readonly { readonly words: string; readonly trouble: number }[];
  readonly stalls: number;
  /** What is to be said of a clock that is followed; '' while all goes as it should. */
  readonly clock: string;
  /** Its tempo in words, '' where none is followed or none is known. */
  readonly clockTempo: string;
}

export function plainSnapshot(
  observed: ObservedState,
  song: SongView,
  nowMicros: number,
  limits: StuckLimits = STUCK_LIMITS,
): PlainSnapshot {
  const standing = songPosition(observed, nowMicros);
  const toGo = countInMicros(observed, standing);
  const position = standing + toGo;
  const { timeline } = song;
  const marker = timeline?.markers.findLast((each) => each.micros <= position)?.text ?? '';
  const stuckWords = new Map<string, string>();
  for (const { cause, channel, key } of findStuckNotes(observed, song.notes, nowMicros, limits)) {
    if (cause === 'held-by-pedal') continue;
    stuckWords.set(
      `${channel} ${key}`,
      `${keyName(key)} on channel ${channel + 1} hangs: ${STUCK_CAUSES[cause]}`,
    );
  }
  const followed = followedClock(observed, nowMicros);
  return {
    state: toGo > 0 ? 'counting in' : transportState(observed),
    bar: timeline ? timeline.meterMap.barBeatAt(timeline.tempoMap.tickAt(Math.max(0, position))).bar : 0,
    marker: cleanText(marker),
    tempoPercent: followed === undefined ? Math.round((observed.numbers[Slot.tempoScale] || 1) * 100) : 100,
    transpose: observed.numbers[Slot.transpose]!,
    names: Array.from({ length: 16 }, (_, channel) =>
      laneName(observed, channel, song.orchestra[channel]!, song.wishes),
    ),
    muted: Array.from(observed.muted, (on) => on > 0),
    soloed: Array.from(observed.soloed, (on) => on > 0),
    stuckWords,
    ports: song.ports?.map((port, index) => ({
      words: portWords(port),
      trouble: portTrouble(observed, index),
    })) ?? [{ words: 'the port', trouble: observed.numbers[Slot.portTrouble]! }],
    stalls: observed.numbers[Slot.stalls]!,
    clock: clockWords(observed, song.follows, nowMicros)?.texts[0] ?? '',
    clockTempo: followed !== undefined && followed.tempo > 0 ? `${Math.round(followed.tempo)} a minute` : '',
  };
}
