import { Cc, isSwitchOn } from '../midi/controllers.ts';
import { isNoteOff, isNoteOn } from '../timeline/note-row.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';

/** Why a key sounds: struck and not released, or released and held by a pedal. */
const STRUCK = 1;
const HELD = 2;
const CAUGHT = 4;

/**
 * Which keys sound, pedals included, as the rows of a timeline go by. A key that is struck again while a pedal
 * holds it counts once: modules take the same voice (common practice, no source).
 */
export class SoundingKeys {
  readonly #columns: TimelineColumns;
  readonly #strikes = new Uint16Array(2048);
  readonly #why = new Uint8Array(2048);
  readonly #damper = new Uint8Array(16);
  readonly #hold2 = new Uint8Array(16);
  readonly #sostenuto = new Uint8Array(16);
  /** [16] keys sounding on each channel. */
  readonly onChannel = new Uint16Array(16);
  /** [16] voices that a note struck now takes; 0 on a channel that is not heard. */
  readonly voicesEach = new Uint8Array(16).fill(1);
  /** Voices in use, those of sounds that die away among them. */
  total = 0;
  readonly #voices = new Uint8Array(2048);
  readonly #releaseMicros: number;
  /** When the sound of a key that was let go has died away; 0 for none. */
  readonly #deadMicros = new Float64Array(2048);
  /** Keys that die away, the first to end first: a tail is as long for every sound. */
  readonly #dying: { readonly key: number; readonly micros: number }[] = [];
  #firstDying = 0;
  #nowMicros = 0;

  /** @param releaseMicros a key holds its voices for so long after it was let go */
  constructor(columns: TimelineColumns, releaseMicros = 0) {
    this.#columns = columns;
    this.#releaseMicros = releaseMicros;
  }

  /** When the next sound has died away; Infinity where none does. */
  nextEndMicros(): number {
    for (; this.#firstDying < this.#dying.length; this.#firstDying += 1) {
      const { key, micros } = this.#dying[this.#firstDying]!;
      if (this.#deadMicros[key] === micros) return micros;
    }
    return Number.POSITIVE_INFINITY;
  }

  /** Lets go of the voices of sounds that have died away by then. */
  passTo(micros: number): void {
    while (this.nextEndMicros() <= micros) this.#forget(this.#dying[this.#firstDying]!.key);
  }

  /** Channels (0–15) with a pedal that is down. */
  pedalsDown(): number[] {
    const isDown = (channel: number) =>
      this.#damper[channel]! + this.#hold2[channel]! + this.#sostenuto[channel]! > 0;
    return Array.from({ length: 16 }, (_, channel) => channel).filter(isDown);
  }

  take(row: number): void {
    const { status, data1, data2 } = this.#columns;
    if (status[row]! >= 0xf0) return;
    this.#nowMicros = this.#columns.micros[row]!;
    const channel = status[row]! & 0x0f;
    const key = channel * 128 + data1[row]!;
    if (isNoteOn(this.#columns, row)) {
      this.#strikes[key]! += 1;
      this.#set(key, (this.#why[key]! | STRUCK) & ~HELD);
    } else if (isNoteOff(this.#columns, row)) {
      if (this.#strikes[key]! > 0) this.#strikes[key]! -= 1;
      if (this.#strikes[key] === 0) this.#release(key, channel);
    } else if ((status[row]! & 0xf0) === 0xb0) {
      this.#control(channel, data1[row]!, isSwitchOn(data2[row]!));
    }
  }

  #control(channel: number, number: number, on: boolean): void {
    if (number === Cc.damper || number === Cc.hold2) {
      (number === Cc.damper ? this.#damper : this.#hold2)[channel] = on ? 1 : 0;
      if (!this.#isHeld(channel)) this.#letGo(channel, HELD);
    } else if (number === Cc.sostenuto) {
      if (on && this.#sostenuto[channel] === 0) this.#catch(channel);
      this.#sostenuto[channel] = on ? 1 : 0;
      if (!on) this.#letGo(channel, CAUGHT);
    } else if (number === Cc.allSoundOff) {
      this.#strikes.fill(0, channel * 128, channel * 128 + 128);
      this.#letGo(channel, STRUCK | HELD | CAUGHT);
      for (let key = channel * 128; key < channel * 128 + 128; key += 1) this.#forget(key);
    } else if (number === Cc.resetAllControllers) {
      this.#damper[channel] = this.#hold2[channel] = this.#sostenuto[channel] = 0;
      this.#letGo(channel, HELD | CAUGHT);
    } else if (number >= Cc.allNotesOff) {
      for (let key = channel * 128; key < channel * 128 + 128; key += 1) {
        if (this.#strikes[key] === 0) continue;
        this.#strikes[key] = 0;
        this.#release(key, channel);
      }
    }
  }

  #isHeld(channel: number): boolean {
    return this.#damper[channel] === 1 || this.#hold2[channel] === 1;
  }

  #release(key: number, channel: number): void {
    const why = this.#why[key]!;
    if ((why & STRUCK) === 0) return;
    this.#set(key, (why & ~STRUCK) | (this.#isHeld(channel) ? HELD : 0));
  }

  #catch(channel: number): void {
    for (let key = channel * 128; key < channel * 128 + 128; key += 1) {
      if (this.#why[key]! & STRUCK) this.#why[key]! |= CAUGHT;
    }
  }

  #letGo(channel: number, reasons: number): void {
    for (let key = channel * 128; key < channel * 128 + 128; key += 1) {
      if (this.#why[key]! & reasons) this.#set(key, this.#why[key]! & ~reasons);
    }
  }

  #set(key: number, why: number): void {
    const did = this.#why[key] !== 0;
    const does = why !== 0;
    this.#why[key] = why;
    if (did === does) return;
    const channel = key >> 7;
    this.onChannel[channel]! += does ? 1 : -1;
    if (does) {
      this.#forget(key); // the new strike takes over the voices of the old
      this.#voices[key] = this.voicesEach[channel]!;
      this.total += this.#voices[key]!;
    } else if (this.#releaseMicros > 0) {
      const micros = this.#nowMicros + this.#releaseMicros;
      this.#deadMicros[key] = micros;
      this.#dying.push({ key, micros });
    } else this.total -= this.#voices[key]!;
  }

  #forget(key: number): void {
    if (this.#deadMicros[key] === 0) return;
    this.#deadMicros[key] = 0;
    this.total -= this.#voices[key]!;
  }
}
