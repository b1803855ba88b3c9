import type { StreamRemark } from '../core/compare/log-remarks.ts';
import { standstillWords } from '../core/compare/standstills.ts';
import { forgetChannels, forgetKey } from '../core/observe/forget-notes.ts';
import { Heard, type ListenState, setPackets } from '../core/observe/listen-state.ts';
import { type ObservedState, Slot } from '../core/observe/observed-state.ts';
import type { Command } from '../core/schedule/command.ts';
import { Transport } from '../core/schedule/transport-board.ts';
import type { RunClock } from '../engine/clock/run-clock.ts';
import { VirtualClock } from '../engine/clock/virtual-clock.ts';
import { LONGEST_LEAVE_MS } from '../engine/run/longest-leave.ts';
import type { PlayerEnd } from '../engine/run/player.ts';
import type { Recording } from '../files/recording.ts';
import type { InputPort } from '../ports/input-port.ts';
import type { ListenParts } from './listen-parts.ts';
import type { Listener } from './listener.ts';
import { LiveFold } from './live-fold.ts';
import { recordChunk } from './record-chunk.ts';
import { StandstillWatch } from './standstill-watch.ts';
import { TapSink } from './tap-sink.ts';
import type { ThruPath } from './thru-path.ts';

const ALL = 0xffff;
const LOOK_MS = 50;

/** An input being listened to in this thread, from the first byte to the last silence of what it was passed on to. */
export class Listening implements Listener {
  readonly observed: ObservedState;
  readonly listen: ListenState;
  readonly troubles: string[] = [];
  readonly ended: Promise<PlayerEnd>;

  readonly #clock: RunClock | VirtualClock;
  readonly #input: InputPort;
  readonly #recording: Recording | undefined;
  readonly #thru: ThruPath | undefined;
  readonly #tapped: TapSink | undefined;
  readonly #keeper: { close(): Promise<void> } | undefined;
  readonly #fold: LiveFold;
  readonly #onTrouble: (trouble: string) => void;
  readonly #watch: NodeJS.Timeout;
  readonly #standstills: StandstillWatch | undefined;
  #settle: (end: PlayerEnd) => void = () => {};
  #pumping: NodeJS.Timeout | undefined;
  /** From then on nothing that comes in is passed on: it would sound again behind the last silence. */
  #leaving: Promise<void> | undefined;
  #over = false;

  constructor(parts: ListenParts, onTrouble: (trouble: string) => void) {
    const { observed, listen, input, thru } = parts;
    this.observed = observed;
    this.listen = listen;
    this.#clock = parts.clock;
    this.#input = input;
    this.#recording = parts.recording;
    this.#thru = thru;
    this.#tapped = parts.tap && new TapSink(parts.tap, parts.clock instanceof VirtualClock);
    this.#keeper = parts.keeper;
    this.#onTrouble = onTrouble;
    this.#fold = new LiveFold(observed, listen, input.wire, input.paced, thru);
    this.ended = new Promise((resolve) => {
      this.#settle = resolve;
    });
    observed.numbers[Slot.transport] = Transport.playing;
    // What has arrived is read before the silence is judged: a busy moment of ours is not the sender's silence.
    this.#watch = setInterval(() => setImmediate(() => this.#look()), LOOK_MS);
    // Only they want to know how far times can be trusted; with times of the past, or a virtual clock, nobody can be late.
    const isLive = input.stamped !== true && !(parts.clock instanceof VirtualClock);
    if ((parts.tap ?? parts.recording) !== undefined && isLive)
      this.#standstills = new StandstillWatch(parts.clock, (from, to) => this.#stoodStill(from, to));
    input.start({
      bytes: (chunk, arrivedMicros) => this.#bytes(chunk, arrivedMicros),
      lost: () => this.#lost(),
      back: () => this.#back(),
      stoodStill: (from, to) => this.#stoodStill(from, to),
      told: (remark, micros) => this.#told(remark, micros),
      remark: (text) => this.#recording?.remark(input.name, this.nowMicros(), text),
      ended: (trouble) => this.#ended(trouble),
    });
  }

  nowMicros(): number {
    return this.#clock.nowMicros();
  }

  send(command: Command): void {
    if (this.#leaving !== undefined) return;
    if (command.kind === 'mute') this.#set(command, this.observed.muted);
    else if (command.kind === 'solo') this.#set(command, this.observed.soloed);
    else if (command.kind === 'silence-all') this.#silence(ALL);
    else if (command.kind === 'silence-channel') this.#silence(1 << command.channel);
    else if (command.kind === 'silence-note') {
      this.#thru?.silenceKey(command.channel, command.key);
      forgetKey(this.observed, command.channel, command.key);
      this.#pump();
    } else if (command.kind === 'quit') void this.#finish('quit');
  }

  close(): Promise<void> {
    return this.#finish('quit');
  }

  #bytes(chunk: Uint8Array, arrivedMicros: number): void {
    if (this.#leaving !== undefined) return;
    if (this.#clock instanceof VirtualClock) {
      this.#clock.set(arrivedMicros);
      this.#judgeSensing();
    }
    this.#fold.bytes(chunk, arrivedMicros);
    recordChunk(this.#recording, this.#input, chunk, arrivedMicros);
    recordChunk(this.#tapped, this.#input, chunk, arrivedMicros);
    this.#pump();
  }

  #told({ text, faults }: StreamRemark, micros: number): void {
    if (this.#leaving !== undefined) return;
    if (this.#clock instanceof VirtualClock) this.#clock.set(micros);
    for (const fault of faults) {
      this.#fold.told(fault, micros);
      this.#tapped?.told(fault.kind, micros);
    }
    this.#recording?.remark(this.#input.name, micros, text);
  }

  #lost(): void {
    if (this.#leaving !== undefined) return;
    this.listen.numbers[Heard.inputTrouble] = 1;
    this.#fold.finish(this.nowMicros());
    this.#recording?.remark(this.#input.name, this.nowMicros(), 'the input is gone');
    if (this.#thru !== undefined) this.#silence(ALL);
  }

  #back(): void {
    this.listen.numbers[Heard.inputTrouble] = 0;
  }

  #ended(trouble: string | undefined): void {
    this.#tell(trouble);
    this.listen.numbers[Heard.inputTrouble] = 2;
    void this.#finish('ended');
  }

  #set({ channel, on }: { readonly channel: number; readonly on: boolean }, table: Uint8Array): void {
    table[channel] = on ? 1 : 0;
    this.#thru?.settingsChanged();
    this.#pump();
  }

  #silence(channels: number): void {
    this.#thru?.silence(channels);
    forgetChannels(this.observed, channels);
    this.#pump();
  }

  /** Hands on what waits for the output's wire, and comes back when there is room again. */
  #pump(): void {
    if (this.#thru === undefined || this.#over) return;
    clearTimeout(this.#pumping);
    const wait = this.#thru.pump();
    this.observed.numbers[Slot.portTrouble] = this.#thru.trouble;
    if (wait !== Number.POSITIVE_INFINITY && !(this.#clock instanceof VirtualClock)) {
      this.#pumping = setTimeout(() => this.#pump(), wait);
    }
  }

  #look(): void {
    if (this.#leaving !== undefined) return;
    this.#countPackets();
    this.#judgeSensing();
    this.#fold.look(this.nowMicros());
    this.#thru?.lookAfterPort();
    this.#pump();
    this.#tell(this.#recording?.takeTrouble());
  }

  #stoodStill(fromMicros: number, toMicros: number): void {
    if (this.#leaving !== undefined) return;
    const { numbers } = this.listen;
    const length = toMicros - fromMicros;
    numbers[Heard.standstills]! += 1;
    numbers[Heard.longestStandstill] = Math.max(numbers[Heard.longestStandstill]!, length);
    this.#recording?.remark(this.#input.name, toMicros, standstillWords(length));
    this.#tapped?.stoodStill(fromMicros, toMicros);
  }

  #countPackets(): void {
    if (this.#input.packets !== undefined) setPackets(this.listen, this.#input.packets);
  }

  /** When Active Sensing runs out, the receiver's part is voices off, and on without it (MIDI 1.0, p. 32). */
  #judgeSensing(): void {
    const now = this.nowMicros();
    if (!this.#fold.sensingExpired(now)) return;
    this.#recording?.remark(this.#input.name, now, 'Active Sensing ran out');
    this.#silence(ALL);
  }

  #tell(trouble: string | undefined): void {
    if (trouble === undefined) return;
    this.troubles.push(trouble);
    this.#onTrouble(trouble);
  }

  #finish(how: 'ended' | 'quit'): Promise<void> {
    this.#leaving ??= this.#leave(how);
    return this.#leaving;
  }

  async #leave(how: 'ended' | 'quit'): Promise<void> {
    this.#fold.finish(this.nowMicros());
    this.#thru?.end();
    await this.#drained();
    this.#over = true;
    clearTimeout(this.#pumping);
    clearInterval(this.#watch);
    this.#standstills?.close();
    this.#recording?.close();
    this.#tell(this.#recording?.takeTrouble());
    this.#thru?.close();
    await this.#input.close();
    this.#countPackets();
    await this.#keeper?.close();
    this.observed.numbers[Slot.transport] = Transport.ended;
    this.observed.numbers[Slot.ended] = 1;
    this.#settle({ kind: how });
  }

  /** Waits until the output has the silence, for a bounded time. */
  async #drained(): Promise<void> {
    const [thru, clock] = [this.#thru, this.#clock];
    if (thru === undefined) return;
    const limitMs = Math.max(DRAIN_LIMIT_MS, Math.min(thru.waitingMs, LONGEST_DRAIN_MS) + DRAIN_MARGIN_MS);
    for (let waited = 0; waited < limitMs; waited += DRAIN_STEP_MS) {
      if (clock instanceof VirtualClock) clock.set(clock.nowMicros() + DRAIN_STEP_MS * 1000);
      this.#pump();
      if (!(waited < RETURN_MS && thru.awaitsReturn()) && thru.drained) return;
      await new Promise((resolve) => setTimeout(resolve, clock instanceof VirtualClock ? 0 : DRAIN_STEP_MS));
    }
  }
}

const DRAIN_STEP_MS = 5;
/** How long an output that is gone is waited for, where something sounds there: see `EngineRun`. */
const RETURN_MS = 2000;
/** An output that takes nothing for so long will stay full; what waits may need longer, but not for ever. */
const DRAIN_LIMIT_MS = 3000;
const DRAIN_MARGIN_MS = 1000;
const LONGEST_DRAIN_MS = LONGEST_LEAVE_MS - 3000;
