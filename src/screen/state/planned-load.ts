import type { ObservedState } from '../../core/observe/observed-state.ts';
import { audibleChannels } from '../../core/schedule/channel-settings.ts';
import type { LoadCurve, SongView } from './song-view.ts';

/** The load to come of what is heard: mutes and solos are taken into account, as they stand. */
export function plannedLoad(song: SongView, observed: ObservedState): LoadCurve {
  return song.load(audibleChannels(observed));
}
