import { beatTableOf } from '../core/schedule/count-in.ts';
import { clockMicrosOf } from '../core/timeline/clock-pulses.ts';
import { fileOrderPlan } from '../core/wire/file-order-plan.ts';
import { packedPlan } from '../core/wire/packed-plan.ts';
import type { SendPlan } from '../core/wire/send-plan.ts';
import { thin } from '../core/wire/thin.ts';
import { MIDI_WIRE, microsPerByte, type WireTraits } from '../core/wire/wire-traits.ts';
import type { CountIn, OutputSpec, PlayerOptions } from '../engine/player-options.ts';
import { wireOf } from '../ports/wire-of.ts';
import type { LoadedSong } from './load-song.ts';
import { outputsOf } from './outputs.ts';
import { type PlayFlags, setupOf, startOf } from './play-options.ts';

/** A song and all that was asked for, before the plan is made. */
export interface PlayIntent {
  readonly loaded: LoadedSong;
  readonly flags: PlayFlags;
  readonly outputs: readonly OutputSpec[];
  /** The wire the plan is made for. */
  readonly traits: WireTraits;
  readonly settings: Omit<PlayerOptions, 'plan'>;
}

/** A song made ready to play on the ports that were asked for. */
export interface PreparedPlay extends PlayIntent {
  readonly plan: SendPlan;
  readonly options: PlayerOptions;
}

/** Song + flags → what is to be done. Costs little. Refuses positions and ports that do not exist. */
export function intendPlay(loaded: LoadedSong, flags: PlayFlags): PlayIntent {
  const { timeline } = loaded;
  const outputs = outputsOf(flags.port.length > 0 ? flags.port : ['mock'], flags.map);
  const traits = slowestOf(outputs.map((output) => wireOf(output.port)));
  const countIn = countInOf(loaded, flags.countIn);
  const settings: PlayIntent['settings'] = {
    durationMicros: timeline.durationMicros,
    outputs,
    startMicros: startOf(flags, timeline),
    setup: setupOf(flags, timeline),
    settleMicros: flags.settle * 1000,
    waitForDevice: flags.wait ?? false,
    whenPortLost: flags.onPortLoss === 'pause' ? 'pause' : 'go-on',
    allowSysEx: flags.allowSysex ?? false,
    activeSensing: flags.activeSensing ?? false,
    restrike: flags.restrike ?? false,
    ...(flags.sync ? { syncOut: true, clockMicros: clockMicrosOf(timeline) } : {}),
    ...(flags.record === undefined ? {} : { recordPath: flags.record }),
    ...(countIn === undefined ? {} : { countIn }),
  };
  return { loaded, flags, outputs, traits, settings };
}

/** Makes the send plan: the long part, some tenths of a second while the code is cold. */
export function planPlay(intent: PlayIntent): PreparedPlay {
  const { loaded, flags, traits, settings } = intent;
  const written = loaded.timeline.columns;
  const columns = flags.thin === undefined ? written : thin(written, flags.thin).columns;
  const plan =
    flags.plan === 'packed'
      ? packedPlan(columns, traits, {
          earlyMicros: (flags.early ?? 0) * 1000,
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

/** One plan serves all ports, so it is made for the slowest of them, counting as carefully as any wants. */
function slowestOf(wires: readonly WireTraits[]): WireTraits {
  return wires.reduce((slow, wire) => {
    const runningStatus = slow.runningStatus === 'ours' ? wire.runningStatus : 'device';
    const slower = microsPerByte(wire) > microsPerByte(slow) ? wire : slow;
    return { ...slower, runningStatus, gapMicros: Math.max(slow.gapMicros, wire.gapMicros) };
  }, wires[0] ?? MIDI_WIRE);
}

function countInOf({ timeline }: LoadedSong, bars: number): CountIn | undefined {
  return bars > 0 ? { bars, beats: beatTableOf(timeline.tempoMap, timeline.meterMap) } : undefined;
}
