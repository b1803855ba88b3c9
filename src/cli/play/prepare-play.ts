import { drumChannelsOf } from '../../core/instrument/orchestra.ts';
import { planSong } from '../../core/wire/plan-song.ts';
import type { SendPlan } from '../../core/wire/send-plan.ts';
import type { PlayerOptions } from '../../engine/run/player-options.ts';
import type { LoadedSong } from '../../files/load-song.ts';
import { endOf } from '../../files/song-stretch.ts';
import type { PlayFlags } from '../options/play-flags.ts';
import { intendPlay, type PlayIntent } from './intend-play.ts';

/** A song made ready to play on the ports that were asked for. */
export interface PreparedPlay extends PlayIntent {
  readonly plan: SendPlan;
  readonly options: PlayerOptions;
}

/** Makes the send plan: the long part, some tenths of a second while the code is cold. */
export function planPlay(intent: PlayIntent): PreparedPlay {
  const { loaded, flags, traits, settings } = intent;
  const end = endOf(flags, loaded.timeline);
  const { plan } = planSong(
    loaded.timeline.columns,
    { tolerance: flags.thin, end, volumePercent: flags.volume },
    traits,
    {
      order: loaded.isDecided ? 'file-order' : flags.plan,
      earlyMicros: flags.early * 1000,
      setupFirst: flags.setupFirst,
      allowSysEx: flags.allowSysex ?? false,
      settleMicros: settings.settleMicros ?? flags.settle * 1000,
      drumChannels: drumChannelsOf(intent.orchestra),
    },
  );
  return { ...intent, plan, options: { ...settings, plan } };
}

export function preparePlay(loaded: LoadedSong, flags: PlayFlags): PreparedPlay {
  return planPlay(intendPlay(loaded, flags));
}
