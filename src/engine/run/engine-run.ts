// Length: one run and its one order of things: what is heard, obeyed, sent and handed on, and how it comes to its end.
import type { ObservedState } from '../../core/observe/observed-state.ts';
import { Slot } from '../../core/observe/observed-state.ts';
import { PortTrouble } from '../../core/observe/port-state.ts';
import { encodeCommand, Op } from '../../core/schedule/command.ts';
import { Scheduler } from '../../core/schedule/scheduler.ts';
import { Time } from '../../core/schedule/scheduler-times.ts';
import { Transport } from '../../core/schedule/transport-board.ts';
import type { Clock } from '../clock/clock.ts';
import type { Ear } from '../input/ear.ts';
import type { WireOutlet } from '../lane/wire-outlet.ts';
import { ClockFollowing } from './clock-following.ts';
import type { CommandRing } from './command-ring.ts';
import { Hearing } from './hearing.ts';
import { restlessChannels, silenceSeen } from './last-silence.ts';
import { EarlierRuns } from './left-behind.ts';
import { LONGEST_LEAVE_MS } from './longest-leave.ts';
import type { PlayerOptions } from './player-options.ts';

/**
 * One run, whatever the clock: obey commands, let the scheduler send what is due, hand on what waited, work
 * out when to wake next. The caller waits (or sets a virtual clock) and calls `step` again. When the song is
 * over, or on `quit`, the silence is seen through to the wire's end before `step` says that nothing is left.
 */
export class EngineRun {
  /** Register: run time at which `step` wants to be called next; Infinity for only after a command. */
  readonly wake = new Float64Array(1);
  /** Why it ended; meaningful once `step` returned false. */
  how: 'ended' | 'quit' = 'ended';
  readonly #scheduler: Scheduler;
  readonly #times: Float64Array;
  readonly #numbers: Float64Array;
  readonly #pausesOnLoss: boolean;
  readonly #staysOpen: boolean;
  #pausedByLoss = false;
  /** The silence at the end was compared with what was seen. */
  #checked = false;
  readonly #command = new Float64Array(3);
  readonly #free = new Float64Array(1);
  /** When draining must be over, whatever a port says; Infinity while not draining. */
  readonly #giveUp = new Float64Array(1).fill(Number.POSITIVE_INFINITY);

  /** Until when a port that is gone is waited for; Infinity while none is. */
  readonly #returnBy = new Float64Array(1).fill(Number.POSITIVE_INFINITY);

  readonly #outlet: WireOutlet;
  readonly #observed: ObservedState;
  readonly #ring: CommandRing;
  readonly #clock: Clock;
  readonly #earlier: EarlierRuns;
  readonly #hearing: Hearing;
  readonly #following: ClockFollowing | undefined;

  /** @param ears the inputs that `options.inputs` names */
  constructor(
    options: PlayerOptions,
    outlet: WireOutlet,
    observed: ObservedState,
    ring: CommandRing,
    clock: Clock,
    ears: readonly Ear[] = [],
  ) {
    this.#outlet = outlet;
    this.#observed = observed;
    this.#ring = ring;
    this.#clock = clock;
    const {
      countIn,
      activeSensing: _byTheLanes,
      staysOpen,
      clockMicros,
      syncOut,
      playAlong,
      leftBehind,
      follow,
      inputs: _byTheEars,
      ...song
    } = options;
    this.#scheduler = new Scheduler({
      ...song,
      outlet,
      board: observed,
      ...(playAlong === undefined ? {} : { visitorChannel: playAlong.channel }),
      ...(countIn === undefined ? {} : { countInBars: countIn.bars, beats: countIn.beats }),
      ...(syncOut && clockMicros !== undefined ? { clockMicros } : {}),
    });
    this.#times = this.#scheduler.times;
    this.#numbers = observed.numbers;
    this.#pausesOnLoss = options.whenPortLost === 'pause';
    this.#staysOpen = staysOpen ?? false;
    this.#earlier = new EarlierRuns(leftBehind);
    if (follow !== undefined) {
      const start = options.startMicros ?? 0;
      this.#following = new ClockFollowing(follow, start, this.#scheduler, observed.numbers);
    }
    this.#hearing = new Hearing(ears, this.#scheduler.visits, this.#following);
  }

  /** Carries out what the options ask for first. Time counts from here. */
  begin(options: PlayerOptions): void {
    this.#clock.read(this.#times);
    this.#outlet.notice();
    this.#earlier.settle(this.#outlet, ALL_CHANNELS & ~this.#outlet.lostChannels(), this.#times[Time.now]!);
    this.#following?.begin(options.autoPlay === false);
    this.#hearing.begin();
    for (const command of options.setup ?? []) this.#scheduler.apply(...encodeCommand(command));
    if (this.#following === undefined && (options.autoPlay ?? true)) this.#scheduler.apply(Op.play, 0, 0);
  }

  /** Does what is due. False once the run is over and everything has left. */
  step(): boolean {
    while (this.#ring.take(this.#command)) this.#obey();
    this.#clock.read(this.#times);
    if (this.#mayGoOn) this.#hear();
    this.#scheduler.visits.look();
    this.#scheduler.advance();
    this.#outlet.pump();
    if (this.#pausesOnLoss && this.#numbers[Slot.portTrouble] === PortTrouble.lost) this.#pauseOnce();
    this.wake[0] = this.#times[Time.wake]!;
    if (this.#mayGoOn) this.#hearing.next(this.wake);
    this.#outlet.nextPump(this.wake);
    this.#scheduler.visits.next(this.wake);
    if (!this.#scheduler.finished) {
      // Begun again, it will end again.
      this.#checked = false;
      this.#giveUp[0] = Number.POSITIVE_INFINITY;
      this.#returnBy[0] = Number.POSITIVE_INFINITY;
      return true;
    }
    return this.#staysOpen && this.how !== 'quit' ? this.#standBy() : this.#drain();
  }

  /** The main thread is beside itself: stand still and be silent, until it says otherwise. */
  pause(): void {
    this.#clock.read(this.#times);
    this.#do(Op.pause, 0, 0);
    this.wake[0] = this.#times[Time.now]!; // what follows is planned by the next step
  }

  /** Sees which ports are gone, and asks those whether they are back; one that is may have forgotten everything. */
  lookAfterPorts(): void {
    this.#outlet.notice();
    this.#outlet.pump(); // says which are gone
    if (this.#numbers[Slot.portTrouble] !== PortTrouble.lost) return;
    const back = this.#outlet.revive();
    if (back === 0) return;
    this.#clock.read(this.#times);
    // The scheduler has All Notes Off and All Sound Off in its own silence, unless it is leaving.
    const isLeaving = this.how === 'quit';
    this.#earlier.settle(this.#outlet, back, this.#times[Time.now]!);
    silenceSeen(this.#observed, this.#outlet, back, this.#times[Time.now]!, isLeaving);
    this.#scheduler.restate(back);
    this.#outlet.pump();
    if (this.#pausedByLoss && this.#numbers[Slot.portTrouble] !== PortTrouble.lost) {
      this.#pausedByLoss = false;
      if (this.#numbers[Slot.transport] === Transport.paused) this.#do(Op.play, 0, 0);
    }
    this.wake[0] = this.#times[Time.now]!;
  }

  #obey(): void {
    // Nothing is asked of a run that is leaving: a second quit would take back what waits of the silence.
    if (this.how === 'quit') return;
    const op = this.#command[0]!;
    const a = this.#command[1]!;
    this.#clock.read(this.#times);
    if (op === Op.quit) {
      this.how = 'quit';
      this.#checked = false;
    }
    this.#do(op, a, this.#command[2]!);
  }

  #do(op: number, a: number, b: number): void {
    if (this.#following?.obeys(op)) return;
    this.#scheduler.apply(op, a, b);
  }

  /** The song is not over, or may begin anew. */
  get #mayGoOn(): boolean {
    return this.how !== 'quit' && (this.#staysOpen || !this.#scheduler.finished);
  }

  /** Once nothing more can come of the clock that moves the song, and it stands, the run is over. */
  #hear(): void {
    this.#hearing.hear(this.#times);
    if (this.#following?.isOver) this.#scheduler.apply(Op.quit, 0, 0);
  }

  #pauseOnce(): void {
    if (this.#pausedByLoss || this.#numbers[Slot.transport] !== Transport.playing) return;
    this.#pausedByLoss = true;
    this.#do(Op.pause, 0, 0);
  }

  /** The song is over and somebody may want it again: looked at once whether all is silent, as before leaving. */
  #standBy(): boolean {
    if (this.#checked) return true;
    const now = this.#times[Time.now]!;
    if (this.#outlet.drained()) {
      this.#checked = true;
      silenceSeen(this.#observed, this.#outlet, restlessChannels(this.#observed), now);
    }
    this.wake[0] = Math.min(this.wake[0]!, now + DRAIN_STEP_MICROS);
    return true;
  }

  /** True while bytes are still on their way to the wire or along it. */
  #drain(): boolean {
    const now = this.#times[Time.now]!;
    if (this.#awaitsReturn(now)) {
      this.wake[0] = Math.min(now + RETURN_STEP_MICROS, this.wake[0]!);
      return true;
    }
    this.#outlet.wireFree(this.#free);
    if (this.#giveUp[0] === Number.POSITIVE_INFINITY) this.#giveUp[0] = this.#limit(now);
    if (this.#outlet.drained() && !this.#checked) {
      // Judged by what the wire has seen: what was taken back may have been to bring something to rest.
      this.#checked = true;
      silenceSeen(this.#observed, this.#outlet, restlessChannels(this.#observed), now);
      this.#outlet.wireFree(this.#free);
      this.#giveUp[0] = this.#limit(now);
    } else if ((this.#outlet.drained() && this.#free[0]! <= now) || now >= this.#giveUp[0]!) {
      this.#outlet.noteUnsent();
      this.#numbers[Slot.ended] = 1;
      return false;
    }
    this.wake[0] = Math.max(now + DRAIN_STEP_MICROS, Math.min(this.#free[0]!, this.wake[0]!));
    return true;
  }

  /** A port that went while something sounded there has a moment to come back: nothing else would end that. */
  #awaitsReturn(now: number): boolean {
    if (this.#numbers[Slot.portTrouble] !== PortTrouble.lost) return false;
    if (this.#returnBy[0] === Number.POSITIVE_INFINITY) this.#returnBy[0] = now + RETURN_MICROS;
    if (now >= this.#returnBy[0]!) return false;
    const back = this.#outlet.revive();
    if (back !== 0) {
      this.#earlier.settle(this.#outlet, back, now);
      silenceSeen(this.#observed, this.#outlet, back, now);
      this.#outlet.pump();
    }
    return (restlessChannels(this.#observed) & this.#outlet.lostChannels()) !== 0;
  }

  #limit(now: number): number {
    const wire = Math.min(this.#free[0]!, now + LONGEST_DRAIN_MICROS) + DRAIN_MARGIN_MICROS;
    return Math.max(now + DRAIN_LIMIT_MICROS, wire);
  }
}

const ALL_CHANNELS = 0xffff;
/** A port that takes nothing for so long will stay full. */
const DRAIN_LIMIT_MICROS = 3_000_000;
/** What waits may need longer than that on its wire (a flood of notes, two note-offs for two strikes), but not for ever. */
const DRAIN_MARGIN_MICROS = 1_000_000;
const LONGEST_DRAIN_MICROS = (LONGEST_LEAVE_MS - 3000) * 1000;
const DRAIN_STEP_MICROS = 500;
/** A device is looked for twice a second, and an opened one may want as long again (`SerialDevice`). */
const RETURN_MICROS = 2_000_000;
const RETURN_STEP_MICROS = 20_000;
