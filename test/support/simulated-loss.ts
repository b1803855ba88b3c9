import { heardNotes } from '../../src/core/arrange/fit/heard-notes.ts';
import { heardValue } from '../../src/core/arrange/fit/heard-value.ts';
import { type NoteWeights, noteWeights } from '../../src/core/arrange/fit/note-weights.ts';
import type { Timeline } from '../../src/core/timeline/timeline.ts';
import { playSimulated, type SimulatedSong, type SimulatedTraits } from './simulated-instrument.ts';

/** A song as written, and how much of it others of its versions let through. The weights are the fit's own choice. */
export class SimulatedLoss {
  readonly #whole: SimulatedSong;
  readonly weights: NoteWeights;
  readonly #byPlace = new Map<string, number[]>();
  /** By tick and channel, drums that the instrument has not: another may be struck in their place. */
  readonly #noSound = new Map<string, number[]>();

  constructor(written: Timeline, traits: SimulatedTraits) {
    const { drumKeys: _all, ...others } = traits;
    const unlimited = { ...others, voices: Number.POSITIVE_INFINITY };
    this.#whole = playSimulated(written.columns, written.durationMicros, unlimited);
    this.weights = noteWeights(written.columns, heardNotes(written.columns, traits.drums), 1);
    for (const [note, { tick, channel, key }] of this.#whole.notes.entries()) {
      const place = `${tick} ${channel} ${key}`;
      if (traits.drums.includes(channel) && traits.drumKeys?.has(key) === false) {
        const silent = `${tick} ${channel}`;
        this.#noSound.set(silent, [...(this.#noSound.get(silent) ?? []), note]);
      }
      const there = this.#byPlace.get(place);
      if (there === undefined) this.#byPlace.set(place, [note]);
      else there.push(note);
    }
  }

  /**
   * Percent lost, and by role the percent of onsets that are not heard. Notes are known by tick, channel and key;
   * of several strikes of one key at once the last sounds, so a version that keeps one keeps that one.
   */
  of(played: SimulatedSong): { readonly percent: number; readonly onsets: (role: number) => number } {
    const { notes } = this.#whole;
    const heard = new Float64Array(notes.length);
    const used = new Map<string, number>();
    const replaced = new Set<number>();
    for (const { tick, channel, key, heardUntil, onMicros } of played.notes.toReversed()) {
      const place = `${tick} ${channel} ${key}`;
      const nth = used.get(place) ?? 0;
      used.set(place, nth + 1);
      const note = this.#byPlace.get(place)?.at(-1 - nth) ?? this.#insteadOf(tick, channel, replaced);
      if (note !== undefined) heard[note] = Math.max(0, heardUntil - onMicros);
    }
    let all = 0;
    let kept = 0;
    const struck = new Uint32Array(6);
    const missed = new Uint32Array(6);
    for (const [note, { onMicros, heardUntil }] of notes.entries()) {
      const whole = (heardUntil - onMicros) / 1e6;
      const { weight, decay, role } = this.weights;
      const value = (seconds: number) => weight[note]! * heardValue(seconds, whole, decay[note]!);
      all += value(whole);
      kept += value(Math.min(whole, heard[note]! / 1e6));
      if (whole <= 0) continue; // struck again at once: nobody could hear it
      struck[role[note]!]! += 1;
      if (heard[note] === 0) missed[role[note]!]! += 1;
    }
    return {
      percent: all > 0 ? (100 * (all - kept)) / all : 0,
      onsets: (role) => (struck[role]! > 0 ? (100 * missed[role]!) / struck[role]! : 0),
    };
  }

  /** The last drum without a sound that is not replaced yet. */
  #insteadOf(tick: number, channel: number, replaced: Set<number>): number | undefined {
    const note = this.#noSound.get(`${tick} ${channel}`)?.findLast((one) => !replaced.has(one));
    if (note !== undefined) replaced.add(note);
    return note;
  }
}
