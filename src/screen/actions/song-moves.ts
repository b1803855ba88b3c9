import { songPosition } from '../../core/observe/song-position.ts';
import type { TimedText } from '../../core/timeline/timeline.ts';
import { barBeatText } from '../format/moment.ts';
import type { ActionResult, ActionScene } from './action.ts';

export function standing(scene: ActionScene): number {
  return songPosition(scene.observed, scene.nowMicros);
}

export function seekTo(scene: ActionScene, songMicros: number, say?: string): ActionResult {
  const micros = Math.round(Math.min(Math.max(songMicros, 0), scene.song.durationMicros));
  return {
    commands: [{ kind: 'seek', micros }],
    say: say ?? `to bar ${barBeatText(scene.song.timeline, micros)}`,
  };
}

export const NO_SONG: ActionResult = { say: 'there is no song to move in' };

/** Song time at which a bar (from 1) begins. */
export function barMicros(scene: ActionScene, bar: number): number {
  const { timeline } = scene.song;
  return timeline ? timeline.tempoMap.microsAt(timeline.meterMap.tickOf(Math.max(1, bar))) : 0;
}

export function barAt(scene: ActionScene, songMicros: number): { bar: number; beat: number } {
  const { timeline } = scene.song;
  return timeline ? timeline.meterMap.barBeatAt(timeline.tempoMap.tickAt(songMicros)) : { bar: 1, beat: 1 };
}

/** Moves by whole bars. Backwards, from past a bar's first beat, its own start is the first stop. */
export function moveBars(scene: ActionScene, bars: number): ActionResult {
  if (!scene.song.timeline) return NO_SONG;
  const { bar, beat } = barAt(scene, standing(scene));
  const target = bars < 0 && beat > 1 ? bar + bars + 1 : bar + bars;
  return seekTo(scene, barMicros(scene, target));
}

/** Moves to the next marker (`step` 1) or the one before (−1). */
export function moveToMarker(scene: ActionScene, step: 1 | -1): ActionResult {
  const { timeline } = scene.song;
  if (!timeline) return NO_SONG;
  const here = standing(scene);
  // A second's grace, so that a press shortly after a marker goes to the one before it.
  const marker: TimedText | undefined =
    step > 0
      ? timeline.markers.find((each) => each.micros > here + 1)
      : timeline.markers.findLast((each) => each.micros < here - 1_000_000);
  if (!marker) return { say: step > 0 ? 'no marker after this' : 'no marker before this' };
  return seekTo(scene, marker.micros, `${barBeatText(timeline, marker.micros)} ${marker.text}`);
}
