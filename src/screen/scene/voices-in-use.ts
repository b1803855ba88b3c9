import { findProgram } from '../../core/instrument/find-program.ts';
import type { Instrument } from '../../core/instrument/instrument.ts';
import { isDrumChannel } from '../../core/instrument/sound-names.ts';
import { NEVER_SEEN, type ObservedState } from '../../core/observe/observed-state.ts';
import type { SongView } from '../state/song-view.ts';

/** Voices taken of those there are, all instruments together. */
export interface VoiceCount {
  readonly used: number;
  readonly there: number;
}

/**
 * Counts voices from what was seen on the wire: keys that sound, those a pedal holds, and those that die away for as
 * long as the instrument says. When a key was let go is seen from frame to frame.
 */
export class VoicesInUse {
  /** [2048] run time at which a key was last seen to sound. */
  readonly #soundedMicros = new Float64Array(2048).fill(Number.NEGATIVE_INFINITY);
  readonly #song: SongView;
  readonly #there: number;

  constructor(song: SongView) {
    this.#song = song;
    const instruments = new Set(song.orchestra);
    this.#there = [...instruments].reduce((sum, { voices }) => sum + voices, 0);
  }

  count(observed: ObservedState, nowMicros: number): VoiceCount {
    let used = 0;
    for (let channel = 0; channel < 16; channel += 1) {
      const instrument = this.#song.orchestra[channel]!;
      if (!instrument.channels.includes(channel)) continue;
      const keys = this.#keysOn(observed, channel, instrument.releaseMicros, nowMicros);
      if (keys > 0) used += keys * voicesEach(observed, channel, instrument);
    }
    return { used, there: this.#there };
  }

  #keysOn(observed: ObservedState, channel: number, releaseMicros: number, nowMicros: number): number {
    let keys = 0;
    for (let place = channel * 128; place < channel * 128 + 128; place += 1) {
      if (observed.strikes[place]! > 0 || observed.pedalHeld[place]! > 0)
        this.#soundedMicros[place] = nowMicros;
      // A strike between two frames was never seen to sound.
      const onset = observed.onsetMicros[place]!;
      const last = Math.max(this.#soundedMicros[place]!, onset > 0 ? onset : Number.NEGATIVE_INFINITY);
      if (nowMicros <= last || nowMicros - last < releaseMicros) keys += 1;
    }
    return keys;
  }
}

function voicesEach(observed: ObservedState, channel: number, instrument: Instrument): number {
  const program = observed.program[channel]!;
  if (isDrumChannel(instrument, channel) || program === NEVER_SEEN) return 1;
  const bank = (seen: number) => (seen === NEVER_SEEN ? -1 : seen);
  const found = findProgram(
    instrument,
    bank(observed.bankMsb[channel]!),
    bank(observed.bankLsb[channel]!),
    program,
  );
  return found.kind === 'found' ? found.program.voicesEach : 1;
}
