import type { ObservedState } from '../../core/observe/observed-state.ts';
import { audibleChannels } from '../../core/schedule/channel-settings.ts';
import type { PlannedOnset, SongView } from './song-view.ts';

/** The latest onset to come of what is heard: mutes and solos are taken into account, as they stand. */
export function plannedOnset(song: SongView, observed: ObservedState): PlannedOnset | undefined {
  return song.plannedWorst?.(audibleChannels(observed));
}
