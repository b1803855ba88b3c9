import { GENERAL_MIDI } from '../../core/instrument/general-midi-instrument.ts';
import { drumChannelsOf, type Orchestra, soloOrchestra } from '../../core/instrument/orchestra.ts';
import { beatTableOf } from '../../core/schedule/count-in.ts';
import { clockMicrosOf } from '../../core/timeline/clock-pulses.ts';
import { wireFor } from '../../core/wire/wire-for.ts';
import type { WireTraits } from '../../core/wire/wire-traits.ts';
import type { CountInRequest, OutputSpec, PlayerOptions } from '../../engine/run/player-options.ts';
import type { LoadedSong } from '../../files/load-song.ts';
import { endOf, startOf } from '../../files/song-stretch.ts';
import { wireOf } from '../../ports/wire-of.ts';
import { outputsOf, portsOrSilent } from '../options/outputs.ts';
import { type PlayFlags, setupOf } from '../options/play-flags.ts';
import { refuseToFollow } from './clock-to-follow.ts';
import { playAlongOf } from './play-along.ts';
import { slowestWire } from './slowest-wire.ts';

/** A song and all that was asked for, before the plan is made. */
export interface PlayIntent {
  readonly loaded: LoadedSong;
  readonly flags: PlayFlags;
  readonly outputs: readonly OutputSpec[];
  /** What is behind each channel. */
  readonly orchestra: Orchestra;
  /** The wire the plan is made for. */
  readonly traits: WireTraits;
  readonly settings: Omit<PlayerOptions, 'plan'>;
}

/** Song + flags → what is to be done. Costs little. Refuses positions and ports that do not exist. */
export function intendPlay(loaded: LoadedSong, flags: PlayFlags): PlayIntent {
  const { timeline } = loaded;
  refuseToFollow(flags);
  const outputs = outputsOf(portsOrSilent(flags.port, flags.map), flags.map, flags.instrument).map(
    (output) => (flags.replace ? { ...output, replace: true } : output),
  );
  const traits = slowestWire(outputs.map(({ port, instrument }) => wireFor(wireOf(port), instrument)));
  const orchestra = orchestraOf(outputs);
  const countIn = countInOf(loaded, flags.countIn);
  const playAlong = playAlongOf(flags, timeline.columns, outputs, orchestra);
  const settings: PlayIntent['settings'] = {
    durationMicros: endOf(flags, timeline)?.micros ?? timeline.durationMicros,
    outputs,
    startMicros: startOf(flags, timeline),
    setup: setupOf(flags, timeline),
    settleMicros: Math.max(flags.settle * 1000, ...outputs.map(restAfterReset)),
    drumChannels: drumChannelsOf(orchestra),
    waitForDevice: flags.wait ?? false,
    whenPortLost: flags.onPortLoss === 'pause' ? 'pause' : 'go-on',
    allowSysEx: flags.allowSysex ?? false,
    activeSensing: flags.activeSensing ?? false,
    restrike: flags.restrike ?? false,
    ...(flags.sync ? { syncOut: true, clockMicros: clockMicrosOf(timeline) } : {}),
    ...(flags.record === undefined ? {} : { recordPath: flags.record }),
    ...(countIn === undefined ? {} : { countIn }),
    ...(playAlong === undefined ? {} : { playAlong }),
  };
  return { loaded, flags, outputs, orchestra, traits, settings };
}

/** General MIDI where nothing is said of what is connected. */
function orchestraOf(outputs: readonly OutputSpec[]): Orchestra {
  return soloOrchestra(GENERAL_MIDI).map(
    (standard, channel) =>
      outputs.find(({ channels }) => channels === undefined || channels.includes(channel))?.instrument ??
      standard,
  );
}

const restAfterReset = ({ instrument }: OutputSpec): number => instrument?.pauses.afterResetMicros ?? 0;

function countInOf({ timeline }: LoadedSong, bars: number): CountInRequest | undefined {
  return bars > 0 ? { bars, beats: beatTableOf(timeline.tempoMap, timeline.meterMap) } : undefined;
}
