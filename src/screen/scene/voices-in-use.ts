import { findProgram } from '../../core/instrument/find-program.ts';
import type { Instrument } from '../../core/instrument/instrument.ts';
import { isDrumChannel } from '../../core/instrument/sound-names.ts';
import { NEVER_SEEN, type ObservedState } from '../../core/observe/observed-state.ts';
import type { SongView } from '../state/song-view.ts';

/** Voices taken of those there are, all instruments together. */
export interface VoiceCount {
  readonly used: number;
  readonly there: number;
  /** The least that is free in any one instrument; below 0 where one cuts or leaves out notes now. */
  readonly free: number;
}

/**
 * Counts voices from what was seen on the wire: keys that sound, those a pedal holds, and those that die away for as
 * long as the instrument says. When a key was let go is seen from frame to frame. An instrument that takes released notes
 * first gives what dies away to the next note, so those fill its voices and no more.
 */
export class VoicesInUse {
  /** [2048] run time at which a key was last seen to sound. */
  readonly #soundedMicros = new Float64Array(2048).fill(Number.NEGATIVE_INFINITY);
  readonly #song: SongView;
  readonly #instruments: ReadonlySet<Instrument>;
  readonly #there: number;
  /** Of one channel: keys that are held, and keys that die away. */
  #held = 0;
  #dying = 0;

  constructor(song: SongView) {
    this.#song = song;
    this.#instruments = new Set(song.orchestra);
    this.#there = [...this.#instruments].reduce((sum, { voices }) => sum + voices, 0);
  }

  count(observed: ObservedState, nowMicros: number): VoiceCount {
    let used = 0;
    let free = Number.POSITIVE_INFINITY;
    for (const instrument of this.#instruments) {
      const taken = this.#taken(observed, instrument, nowMicros);
      used += taken;
      free = Math.min(free, instrument.voices - taken);
    }
    return { used, there: this.#there, free };
  }

  #taken(observed: ObservedState, instrument: Instrument, nowMicros: number): number {
    let held = 0;
    let dying = 0;
    for (let channel = 0; channel < 16; channel += 1) {
      if (this.#song.orchestra[channel] !== instrument || !instrument.channels.includes(channel)) continue;
      this.#countKeys(observed, channel, instrument.releaseMicros, nowMicros);
      if (this.#held + this.#dying === 0) continue;
      const each = voicesEach(observed, channel, instrument);
      held += this.#held * each;
      dying += this.#dying * each;
    }
    if (instrument.full !== 'released') return held + dying;
    return Math.max(held, Math.min(held + dying, instrument.voices));
  }

  #countKeys(observed: ObservedState, channel: number, releaseMicros: number, nowMicros: number): void {
    this.#held = 0;
    this.#dying = 0;
    for (let place = channel * 128; place < channel * 128 + 128; place += 1) {
      if (observed.strikes[place]! > 0 || observed.pedalHeld[place]! > 0)
        this.#soundedMicros[place] = nowMicros;
      // A strike between two frames was never seen to sound.
      const onset = observed.onsetMicros[place]!;
      const last = Math.max(this.#soundedMicros[place]!, onset > 0 ? onset : Number.NEGATIVE_INFINITY);
      if (nowMicros <= last) this.#held += 1;
      else if (nowMicros - last < releaseMicros) this.#dying += 1;
    }
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
