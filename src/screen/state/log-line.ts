import type { ObservedState } from '../../core/observe/observed-state.ts';
import { songPosition } from '../../core/observe/song-position.ts';
import { barBeatText } from '../format/moment.ts';
import { LOG_LINES, type ScreenState } from './screen-state.ts';
import type { SongView } from './song-view.ts';

/** The state with one line more in its log: when, at which bar and beat, and what. */
export function logged(
  state: ScreenState,
  text: string,
  scene: { readonly observed: ObservedState; readonly song: SongView; readonly nowMicros: number },
  deed?: string,
): ScreenState {
  const position = songPosition(scene.observed, scene.nowMicros);
  const where = barBeatText(scene.song.timeline, position);
  const line = { atMicros: scene.nowMicros, where, text, ...(deed === undefined ? {} : { deed }) };
  return { ...state, log: [...state.log, line].slice(-LOG_LINES) };
}
