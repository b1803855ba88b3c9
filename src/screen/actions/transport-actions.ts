import { type FollowedState, followedClock } from '../../core/observe/followed-clock.ts';
import { Slot } from '../../core/observe/observed-state.ts';
import { transportState } from '../../core/observe/song-position.ts';
import { audibleChannels } from '../../core/schedule/channel-settings.ts';
import { barBeatText, percentText, signedText } from '../format/moment.ts';
import { plannedOnset } from '../state/planned-onset.ts';
import type { Action, ActionResult, ActionScene } from './action.ts';
import { barAt, barMicros, moveBars, moveToMarker, NO_SONG, seekTo, standing } from './song-moves.ts';

const TEMPO_STEP_PERCENT = 5;
/** Tempo 25–400 %, transposition two octaves either way: the scheduler's own bounds. */
const TEMPO_PERCENT = { lowest: 25, highest: 400 };
const TRANSPOSE_MOST = 24;

export const TRANSPORT_ACTIONS = {
  'play-pause': (scene) => {
    const followed = followedClock(scene.observed, scene.nowMicros);
    if (transportState(scene.observed) === 'playing') {
      const say = followed ? 'paused; the clock goes on, space joins it' : 'paused';
      return { commands: [{ kind: 'pause' }], say };
    }
    return { commands: [{ kind: 'play' }], say: followed ? JOINS[followed.state] : 'playing' };
  },
  stop: () => ({ commands: [{ kind: 'stop' }], say: 'stopped' }),
  'bar-back': (scene) => moveBars(scene, -(scene.count ?? 1)),
  'bar-on': (scene) => moveBars(scene, scene.count ?? 1),
  'bars-back': (scene) => moveBars(scene, -4 * (scene.count ?? 1)),
  'bars-on': (scene) => moveBars(scene, 4 * (scene.count ?? 1)),
  'song-start': (scene) => (scene.song.timeline ? seekTo(scene, 0) : NO_SONG),
  'song-end': (scene) => {
    const { timeline } = scene.song;
    // The start of the last bar: the very end would be over before it was heard.
    return timeline
      ? seekTo(scene, barMicros(scene, barAt(scene, scene.song.durationMicros - 1).bar))
      : NO_SONG;
  },
  'go-to-bar': (scene) => (scene.song.timeline ? seekTo(scene, barMicros(scene, scene.count ?? 1)) : NO_SONG),
  'go-to-percent': (scene) =>
    scene.song.timeline
      ? seekTo(scene, (scene.song.durationMicros * Math.min(100, scene.count ?? 0)) / 100)
      : NO_SONG,
  'next-marker': (scene) => moveToMarker(scene, 1),
  'last-marker': (scene) => moveToMarker(scene, -1),
  'worst-spot': (scene) => {
    if (!scene.song.timeline) return NO_SONG;
    const seen = scene.observed.numbers[Slot.worstOnsetSongMicros]!;
    const late = scene.observed.numbers[Slot.worstOnsetLatenessMicros]!;
    const planned = plannedOnset(scene.song, scene.observed);
    // What was late before a mute or a solo may not be heard any more.
    const isFiltered = audibleChannels(scene.observed) !== 0xffff;
    const isPlanned = planned && (isFiltered || planned.latenessMicros >= late);
    const spot = isPlanned ? planned.songMicros : late > 0 ? seen : -1;
    if (spot < 0) return { say: 'no onset is late so far' };
    return seekTo(scene, spot, `latest onset at ${barBeatText(scene.song.timeline, spot)}`);
  },
  'loop-from': (scene) => setLoop(scene, 'from'),
  'loop-to': (scene) => setLoop(scene, 'to'),
  'loop-off': () => ({
    state: { loopFromMicros: undefined, loopToMicros: undefined },
    commands: [{ kind: 'loop-off' }],
    say: 'loop off',
  }),
  slower: (scene) => setTempo(scene, tempoPercent(scene) - (scene.count ?? TEMPO_STEP_PERCENT)),
  faster: (scene) => setTempo(scene, tempoPercent(scene) + (scene.count ?? TEMPO_STEP_PERCENT)),
  tempo: (scene) => setTempo(scene, scene.count ?? 100),
  'transpose-down': (scene) => transpose(scene, scene.observed.numbers[Slot.transpose]! - (scene.count ?? 1)),
  'transpose-up': (scene) => transpose(scene, scene.observed.numbers[Slot.transpose]! + (scene.count ?? 1)),
  'original-pitch': (scene) => transpose(scene, 0),
} as const satisfies Record<string, Action>;

/** What playing means while a clock is followed. */
const JOINS: Readonly<Record<FollowedState['state'], string>> = {
  waits: 'the clock that is followed says when: it waits for Start',
  armed: 'begins with the next clock',
  follows: 'with the clock again',
  lost: 'plays as soon as the clock comes again',
};

function tempoPercent(scene: ActionScene): number {
  return Math.round((scene.observed.numbers[Slot.tempoScale] || 1) * 100);
}

function setTempo(_scene: ActionScene, percent: number): ActionResult {
  const scale = Math.min(TEMPO_PERCENT.highest, Math.max(TEMPO_PERCENT.lowest, percent)) / 100;
  return { commands: [{ kind: 'tempo-scale', scale }], say: `tempo ${percentText(scale)}` };
}

function transpose(_scene: ActionScene, semitones: number): ActionResult {
  const clamped = Math.min(TRANSPOSE_MOST, Math.max(-TRANSPOSE_MOST, semitones));
  return { commands: [{ kind: 'transpose', semitones: clamped }], say: `transpose ${signedText(clamped)}` };
}

/** From the start of a bar, to the end of a bar: this one, or the one whose number was typed. */
function setLoop(scene: ActionScene, end: 'from' | 'to'): ActionResult {
  if (!scene.song.timeline) return NO_SONG;
  const bar = scene.count ?? barAt(scene, standing(scene)).bar;
  const micros = Math.min(barMicros(scene, end === 'from' ? bar : bar + 1), scene.song.durationMicros);
  const loopFromMicros = end === 'from' ? micros : scene.state.loopFromMicros;
  const loopToMicros = end === 'to' ? micros : scene.state.loopToMicros;
  const state = { loopFromMicros, loopToMicros };
  if (loopFromMicros === undefined)
    return { state, say: `loop to the end of bar ${bar}; now ( sets its start` };
  if (loopToMicros === undefined) return { state, say: `loop from bar ${bar}; now ) sets its end` };
  if (loopToMicros <= loopFromMicros) {
    const kept =
      end === 'from'
        ? { loopFromMicros, loopToMicros: undefined }
        : { loopFromMicros: undefined, loopToMicros };
    return { state: kept, say: 'that end of the loop lies before its start; set the other one again' };
  }
  return {
    state,
    commands: [{ kind: 'loop', fromMicros: loopFromMicros, toMicros: loopToMicros }],
    say: `loop bars ${barAt(scene, loopFromMicros).bar} to ${barAt(scene, loopToMicros - 1).bar}`,
  };
}
