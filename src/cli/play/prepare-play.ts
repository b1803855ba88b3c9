import { thin } from '../../core/arrange/thin.ts';
import { fileOrderPlan } from '../../core/wire/file-order-plan.ts';
import { packedPlan } from '../../core/wire/packed-plan.ts';
import type { SendPlan } from '../../core/wire/send-plan.ts';
import type { PlayerOptions } from '../../engine/run/player-options.ts';
import type { LoadedSong } from '../../files/load-song.ts';
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
  const written = loaded.timeline.columns;
  const columns = flags.thin === undefined ? written : thin(written, flags.thin).columns;
  const plan =
    flags.plan === 'packed'
      ? packedPlan(columns, traits, {
          earlyMicros: flags.early * 1000,
          setupFirst: flags.setupFirst,
          allowSysEx: flags.allowSysex ?? false,
          settleMicros: flags.settle * 1000,
        })
      : fileOrderPlan(columns);
  return { ...intent, plan, options: { ...settings, plan } };
}

export function preparePlay(loaded: LoadedSong, flags: PlayFlags): PreparedPlay {
  return planPlay(intendPlay(loaded, flags));
}
