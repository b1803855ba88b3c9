import { isNoteOn } from '../core/midi/status.ts';
import { SYSEX_CUT, SYSEX_FIRST, SYSEX_LAST } from '../core/midi/stream-parser.ts';
import { classifySysEx } from '../core/midi/universal-sysex.ts';
import { createObservedState } from '../core/observe/create-observed-state.ts';
import { Heard, type ListenState } from '../core/observe/listen-state.ts';
import { type ObservedState, Slot } from '../core/observe/observed-state.ts';
import { audibleChannels } from '../core/schedule/channel-settings.ts';
import { chaseChannel } from '../core/schedule/chase.ts';
import { AT_LENGTH, At } from '../core/schedule/outlet.ts';
import { ReceiverMemory } from '../core/schedule/receiver-memory.ts';
import type { Clock } from '../engine/clock/clock.ts';
import { type LanePort, WireOutlet } from '../engine/lane/wire-outlet.ts';
import { restlessChannels, silenceSeen } from '../engine/run/last-silence.ts';
import { FarEnd } from './far-end.ts';

const ALL = 0xffff;

/**
 * Passes what comes in on to an output: all of it, less the note-ons of channels that are muted. Note-offs and
 * state always pass, so that nothing hangs and unmuting is right at once. What sounds at the output's far end is
 * known from the bytes it took (`#sent`), apart from what came in (`heard`).
 */
export class ThruPath {
  readonly #sent = createObservedState();
  /** What the sender has set, and what the far end holds of it. */
  readonly #said = new ReceiverMemory();
  readonly #far: FarEnd;
  readonly #outlet: WireOutlet;
  readonly #at = new Float64Array(AT_LENGTH).fill(-1);
  readonly #now = new Float64Array(1);
  #audible: number;
  #sysExPasses = false;
  readonly #unstruck = new Uint16Array(2048);

  readonly #clock: Clock;
  readonly #heard: ObservedState;
  readonly #listen: ListenState;
  readonly #allowSysEx: boolean;

  constructor(lane: LanePort, clock: Clock, heard: ObservedState, listen: ListenState, allowSysEx: boolean) {
    this.#clock = clock;
    this.#heard = heard;
    this.#listen = listen;
    this.#allowSysEx = allowSysEx;
    this.#outlet = new WireOutlet({ clock, observed: this.#sent, lanes: [lane] });
    this.#far = new FarEnd(this.#outlet, this.#at);
    this.#audible = audibleChannels(heard);
  }

  message(status: number, data1: number, data2: number): void {
    if (status < 0xf0) this.#said.fold(status, data1, data2);
    else if (status === SYSTEM_RESET) this.#forgetAll();
    if (isNoteOn(status, data2) && (this.#audible & (1 << (status & 15))) === 0) {
      this.#heard.heldBack[status & 15]! += 1;
      return;
    }
    this.#stamp();
    this.#count();
    this.#far.message(status, data1, data2);
  }

  /**
   * A piece of SysEx, as `StreamSink.sysEx` gives it. The first piece, which has all that the message is known by,
   * decides for all. F7 ends a message that was cut.
   */
  sysEx(bytes: Uint8Array, length: number, part: number): void {
    if ((part & SYSEX_FIRST) !== 0) {
      const kind = classifySysEx(bytes, 0, length);
      const isWhole = (part & SYSEX_CUT) === 0;
      this.#sysExPasses = this.#allowSysEx || (!kind.held && isWhole);
      if (kind.reset && isWhole) this.#forgetAll();
      if (!this.#sysExPasses) this.#heard.numbers[Slot.heldSysEx]! += 1;
    }
    if (!this.#sysExPasses) return;
    this.#stamp();
    if ((part & SYSEX_LAST) !== 0) this.#count();
    if ((part & SYSEX_FIRST) !== 0) this.#outlet.payload(0xf0, bytes, 1, length - 1, this.#at);
    else this.#outlet.payload(0xf7, bytes, 0, length, this.#at);
    if ((part & SYSEX_CUT) !== 0) this.#outlet.payload(0xf7, F7, 0, 1, this.#at);
  }

  /** Mute or solo changed: what one no longer hears ends now. */
  settingsChanged(): void {
    const before = this.#audible;
    this.#audible = audibleChannels(this.#heard);
    const gone = before & ~this.#audible;
    if (gone === 0) return;
    this.silence(gone);
    this.#restate(gone);
  }

  /** Ends everything on these channels at the far end. */
  silence(channels = ALL): void {
    this.#stamp();
    // Judged by what the port took, so the note-offs of what is taken back are nobody's.
    this.#outlet.withdraw(channels, this.#unstruck);
    silenceSeen(this.#sent, this.#far, channels, this.#now[0]!);
  }

  /** The last silence: it does not wait for what nobody will hear the use of. */
  end(): void {
    this.#outlet.dropOthers();
    this.silence();
  }

  /**
   * True while the output is gone and something sounds at its far end, which nothing else would end. Gives it the
   * silence when it is back. `pump` comes before.
   */
  awaitsReturn(): boolean {
    if (this.trouble !== LOST) return false;
    if (this.#outlet.revive() === 0) return restlessChannels(this.#sent) !== 0;
    this.silence();
    return false;
  }

  /** Ends one key, however often it was struck. One note-off goes out even when it should not sound. */
  silenceKey(channel: number, key: number): void {
    this.#stamp();
    const strikes = Math.max(1, this.#sent.strikes[channel * 128 + key]!);
    for (let i = 0; i < strikes; i += 1) this.#far.message(0x80 | channel, key, 64);
  }

  /** Hands on what waited. Milliseconds until it wants to be called again; Infinity when nothing waits. */
  pump(): number {
    this.#outlet.pump();
    this.#clock.read(this.#now);
    const next = Float64Array.of(Number.POSITIVE_INFINITY);
    this.#outlet.nextPump(next);
    return Math.max(0, (next[0]! - this.#now[0]!) / 1000);
  }

  /** Asks a lost output whether it is back; then silence, and the state it may have forgotten. */
  lookAfterPort(): void {
    this.#outlet.notice();
    const back = this.#outlet.revive();
    if (back === 0) return;
    this.silence(back);
    this.#far.memory.forgetChannels(back);
    this.#restate(back);
  }

  /** 0 fine, 1 held up, 2 lost: as `Slot.portTrouble`. */
  get trouble(): number {
    return this.#sent.numbers[Slot.portTrouble]!;
  }

  /** Milliseconds that the output's wire needs for what waits. */
  get waitingMs(): number {
    this.#clock.read(this.#now);
    const free = Float64Array.of(0);
    this.#outlet.wireFree(free);
    return Math.max(0, (free[0]! - this.#now[0]!) / 1000);
  }

  get drained(): boolean {
    return this.#outlet.drained();
  }

  close(): void {
    this.#outlet.close();
  }

  #restate(channels: number): void {
    for (let channel = 0; channel < 16; channel += 1) {
      if ((channels & (1 << channel)) !== 0) chaseChannel(this.#said, this.#far, channel, NO_OVERRIDE);
    }
  }

  /**
   * After a reset the far end is at rest, as it is when it comes back from a loss of its power: only what is set
   * from now on needs to be said again.
   */
  #forgetAll(): void {
    this.#said.forget();
    this.#far.memory.forget();
  }

  #stamp(): void {
    this.#clock.read(this.#now);
    this.#at[At.dueMicros] = this.#now[0]!;
    this.#at[At.releaseMicros] = this.#now[0]!;
  }

  #count(): void {
    this.#listen.numbers[this.trouble === LOST ? Heard.leftOut : Heard.passedOn]! += 1;
  }
}

const F7 = Uint8Array.of(0xf7);
const LOST = 2;
const SYSTEM_RESET = 0xff;
const NO_OVERRIDE = -1;
