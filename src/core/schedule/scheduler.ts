// Longer than 300 lines for one reason: the order in which things may happen is one decision, and it is here.
import type { SendPlan } from '../wire/send-plan.ts';
import { chaseChannel } from './chase.ts';
import { chaseKeyPressure } from './chase-key-pressure.ts';
import { CountIn } from './count-in.ts';
import { Op } from './encode-command.ts';
import { At } from './outlet.ts';
import { PlanCursor } from './plan-cursor.ts';
import { ReceiverMemory } from './receiver-memory.ts';
import { Restrike } from './restrike.ts';
import { RowSender } from './row-sender.ts';
import type { SchedulerOptions } from './scheduler-options.ts';
import { TIME_COUNT, Time } from './scheduler-times.ts';
import { PIECE_BYTES, Sender } from './sender.ts';
import { Silence, silence, silenceKey } from './silence.ts';
import { Sounding } from './sounding.ts';
import { RELOCATE_MICROS, START_GAP_MICROS, SyncOut } from './sync-out.ts';
import { catalogueSysEx, type SysExCatalogue, SysExRole } from './sysex-catalogue.ts';
import { Transport, type TransportBoard, TransportSlot } from './transport-board.ts';

/** A note-on older than this is not played any more; what it would have changed is caught up by the chase. */
export const LATE_MICROS = 50_000;
/** Beyond this the machine slept: the music waits for it instead of running away. */
export const STALL_MICROS = 1_000_000;
/** Active Sensing: a sender within 270 ms, a receiver judges beyond 330 (MIDI 1.0, p. 32). */
export const SENSING_MICROS = 270_000;
/** A shorter loop would be a tone. */
export const SHORTEST_LOOP_MICROS = 10_000;

const ALL_CHANNELS = 0xffff;

/** What comes next while the song plays. */
const NOTHING = 0;
const ROW = 1;
const CLOCK = 2;
const CLICK = 3;
const RELOCATE = 4;
const REPEAT = 5;
const END = 6;

/** A start has steps: the reset of the skipped part, its settle time, the chase, then the music. */
const RUNNING = 0;
const CHASING = 1;

/**
 * A song being played, as a pure state machine: the driver sets `times[Time.now]` (run time, µs), calls `apply`
 * for each command and `advance`, which hands everything due to the outlet and leaves in `times[Time.wake]` when
 * it wants to be called again. Song position is computed from the last anchor, never added up. In steady state
 * nothing is allocated.
 */
export class Scheduler {
  readonly times = new Float64Array(TIME_COUNT);
  /** True once all is silent for good: after `quit`, or after the end of the song and its ring-out. */
  finished = false;

  readonly #plan: SendPlan;
  readonly #board: TransportBoard;
  readonly #catalogue: SysExCatalogue;
  readonly #sender: Sender;
  readonly #sounding: Sounding;
  readonly #song: ReceiverMemory;
  readonly #rows: RowSender;
  readonly #cursors: PlanCursor;
  readonly #restrike: Restrike;
  readonly #sync: SyncOut;
  readonly #countIn: CountIn;
  readonly #settleMicros: number;
  readonly #ringOutMicros: number;
  readonly #sensing: boolean;

  #state: number = Transport.stopped;
  #phase = RUNNING;
  /** Next row of the plan; rows before `#leadEnd` may leave at the beginning of a count-in. */
  #row = 0;
  #leadEnd = 0;
  /** Bytes of the SysEx in this row that are already out; 0 when none is under way. */
  #pieces = 0;
  /** A note-on was struck since play began: the clock may not be moved any more. */
  #heard = false;
  /** The chase must catch up with what late rows said. */
  #behind = false;
  #quit = false;
  #looping = false;
  #loopRow = 0;
  readonly #loopSong: ReceiverMemory;

  constructor(options: SchedulerOptions) {
    const { plan, board } = options;
    this.#plan = plan;
    this.#board = board;
    this.#catalogue = catalogueSysEx(plan.columns, options.allowSysEx ?? false);
    this.#sender = new Sender(options.outlet, plan.columns, this.#catalogue, this.times);
    this.#sounding = new Sounding(plan.columns.status);
    this.#song = new ReceiverMemory(this.#catalogue);
    this.#loopSong = new ReceiverMemory(this.#catalogue);
    this.#rows = new RowSender(plan.columns, board, this.#song, this.#sender, this.#sounding);
    this.#cursors = new PlanCursor(plan);
    this.#restrike = new Restrike(plan, options.restrike ?? false);
    this.#sync = new SyncOut(options.clockMicros);
    this.#countIn = new CountIn(options.countInBars ?? 0, options.beats);
    this.#settleMicros = options.settleMicros ?? 100_000;
    this.#ringOutMicros = options.ringOutMicros ?? 1_000_000;
    this.#sensing = options.activeSensing ?? false;
    const t = this.times;
    const lastRelease = plan.count > 0 ? plan.releaseMicros[plan.count - 1]! : 0;
    t[Time.end] = Math.max(options.durationMicros, lastRelease, 0);
    t[Time.start] = clamp(options.startMicros ?? 0, 0, t[Time.end]!);
    t[Time.scale] = 1;
    t[Time.wake] = Infinity;
    t[Time.loopFrom] = -1;
    t[Time.loopTo] = -1;
    board.numbers[TransportSlot.tempoScale] = 1;
    this.#locate(t[Time.start]!);
    this.#show();
  }

  /** Carries out a command (see `encodeCommand`), after everything that was due before it. */
  apply(op: number, a: number, b: number, _c: number): void {
    if (this.#quit) return;
    this.#play();
    const t = this.times;
    this.#sender.stampNow();
    switch (op) {
      case Op.play:
        this.#startPlaying();
        break;
      case Op.pause:
        this.#pause();
        break;
      case Op.stop:
        this.#halt(Silence.full);
        this.#state = Transport.stopped;
        this.#locate(t[Time.start]!);
        break;
      case Op.seek:
        this.#seek(clamp(a, 0, t[Time.end]!));
        break;
      case Op.loop:
        this.#setLoop(clamp(a, 0, t[Time.end]!), clamp(b, 0, t[Time.end]!));
        break;
      case Op.loopOff:
        this.#setLoop(-1, -1);
        break;
      case Op.tempoScale:
        this.#scaleTempo(clamp(a, 0.25, 4));
        break;
      case Op.transpose:
        this.#board.numbers[TransportSlot.transpose] = Math.round(clamp(a, -24, 24));
        break;
      case Op.quit:
        if (!this.finished) this.#halt(Silence.full);
        this.#state = Transport.stopped;
        this.#quit = true;
        this.finished = true;
        break;
      case Op.silenceAll:
        this.#breakOffPieces();
        this.#silenceAndRestore(ALL_CHANNELS, Silence.full);
        break;
      default:
        if (a >= 0 && a < 16) this.#applyToChannel(op, a, b);
    }
    this.advance();
  }

  /** Hands over everything due at `times[Time.now]`, and says in `times[Time.wake]` when to come again. */
  advance(): void {
    this.#play();
    const t = this.times;
    t[Time.wake] = Infinity;
    if (this.#state === Transport.playing) t[Time.wake] = t[Time.nextRun]!;
    else if (this.#state === Transport.ended && !this.finished) t[Time.wake] = t[Time.notBefore]!;
    if (this.#sensing && !this.finished) this.#sense();
    this.#show();
  }

  /** The receiver was cut off and may hold nothing any more: tell it again what it should hold by now. */
  receiverForgot(): void {
    this.#sender.memory.forget();
    this.#sender.stampNow();
    if (this.#chasing()) this.#chase(ALL_CHANNELS);
  }

  #applyToChannel(op: number, channel: number, b: number): void {
    const board = this.#board;
    switch (op) {
      case Op.mute:
        board.muted[channel] = b !== 0 ? 1 : 0;
        this.#silenceAndRestore(this.#rows.settingsChanged(), Silence.brief);
        break;
      case Op.solo:
        board.soloed[channel] = b !== 0 ? 1 : 0;
        this.#silenceAndRestore(this.#rows.settingsChanged(), Silence.brief);
        break;
      case Op.velocityTrim:
        board.velocityTrim[channel] = Math.round(clamp(b, -127, 127));
        break;
      case Op.channelTranspose:
        board.channelTranspose[channel] = Math.round(clamp(b, -48, 48));
        break;
      case Op.programOverride:
        board.programOverride[channel] = b >= 0 && b < 128 ? b : -1;
        if (this.#chasing()) this.#chase(1 << channel);
        break;
      case Op.silenceChannel:
        this.#silenceAndRestore(1 << channel, Silence.full);
        break;
      case Op.silenceNote:
        if (b >= 0 && b < 128) this.#silenceNote(channel, b);
        break;
    }
  }

  // ---- the transport ----

  #startPlaying(): void {
    const t = this.times;
    if (this.#state === Transport.playing) return;
    if (this.#state === Transport.ended) this.#locate(t[Time.start]!);
    this.finished = false;
    this.#begin(this.#state !== Transport.paused);
  }

  #pause(): void {
    if (this.#state !== Transport.playing) return;
    const counting = this.#countIn.pending;
    this.#halt(Silence.rest);
    this.#state = Transport.paused;
    if (counting) {
      // The count is given again from its beginning.
      this.#state = Transport.stopped;
      this.#locate(Math.max(0, this.times[Time.floor]!));
    }
  }

  /** Stands still and is silent; the position stays. */
  #halt(depth: number): void {
    const t = this.times;
    if (this.#state === Transport.playing) this.#songNow(Time.position);
    this.#breakOffPieces();
    this.#countIn.cancel();
    silence(this.#sender, this.#sounding, this.#sender.used, depth);
    this.#sync.stop(this.#sender);
    this.#phase = RUNNING;
    this.#leadEnd = 0;
    t[Time.notBefore] = -Infinity;
  }

  #seek(to: number): void {
    const playing = this.#state === Transport.playing;
    if (playing) this.#halt(Silence.rest);
    this.#locate(to);
    this.finished = false;
    if (playing) this.#begin(false);
    else if (this.#state === Transport.ended) this.#state = Transport.paused;
  }

  /** Puts the cursor to a song time, and the song's memory to what was said before it. */
  #locate(to: number): void {
    const t = this.times;
    const row = this.#cursors.rowAt(to);
    this.#pieces = 0;
    if (row < this.#row) {
      this.#song.forget();
      this.#row = 0;
    }
    this.#rememberTo(row);
    t[Time.position] = to;
    t[Time.floor] = to > 0 ? to : -Infinity;
    this.#looping = t[Time.loopTo]! > to;
    this.#sync.jump(to);
  }

  #rememberTo(row: number): void {
    const { event, columns } = this.#plan;
    for (; this.#row < row; this.#row += 1) {
      const kind = columns.status[event[this.#row]!]! & 0xf0;
      if (kind !== 0x90 && kind !== 0x80) this.#rows.remember(event[this.#row]!);
    }
  }

  /** Play begins (again) at `position`: reset and settle, chase, count-in, music. */
  #begin(withCountIn: boolean): void {
    const t = this.times;
    this.#state = Transport.playing;
    this.#phase = CHASING;
    this.#heard = false;
    this.#behind = false;
    this.#countIn.cancel();
    this.#restrike.locate(this.#row);
    t[Time.anchorSong] = t[Time.position]!;
    const first = this.#row < this.#plan.count ? this.#plan.releaseMicros[this.#row]! : 0;
    // What a plan moved ahead of the song's first moment needs a run-up.
    if (this.#row === 0 && t[Time.position] === 0 && first < 0) t[Time.anchorSong] = first;
    if (withCountIn && this.#countIn.bars > 0) {
      t[Time.anchorSong] = Math.min(first, t[Time.position]! - this.#countIn.prepare(t[Time.position]!));
      this.#leadEnd = this.#firstNoteRow();
    }
    t[Time.lead] = t[Time.anchorSong]!;
    t[Time.anchorNow] = Infinity;
    t[Time.notBefore] = t[Time.now]!;
    const { sysEx } = this.#song;
    if (!sysEx.sameReset(this.#sender.memory.sysEx)) {
      this.#sender.sysEx(0xf0, sysEx.reset);
      this.#sender.holdUntilFree(this.#settleMicros);
    }
    t[Time.nextRun] = t[Time.notBefore]!;
  }

  /** The second step of a start, once the reset has settled. The music waits until its bytes are through. */
  #finishStart(): void {
    const t = this.times;
    this.#phase = RUNNING;
    this.#sender.stampNow();
    this.#chase(ALL_CHANNELS);
    this.#restrike.play(this.#rows);
    this.#sync.start(this.#sender);
    this.#sender.holdUntilFree(this.#sync.on ? START_GAP_MICROS : 0);
    t[Time.anchorNow] = t[Time.notBefore]!;
  }

  #firstNoteRow(): number {
    let row = this.#row;
    while (row < this.#plan.count && !this.#rows.isNoteOn(this.#plan.event[row]!)) row += 1;
    // Only what stands at the very start may leave early; the rest keeps its moment.
    const floor = Math.max(0, this.times[Time.floor]!);
    while (row > this.#row && this.#plan.releaseMicros[row - 1]! > floor) row -= 1;
    return row;
  }

  #scaleTempo(scale: number): void {
    const t = this.times;
    if (this.#state === Transport.playing && this.#phase === RUNNING && t[Time.now]! > t[Time.anchorNow]!) {
      this.#songNow(Time.anchorSong);
      t[Time.anchorNow] = t[Time.now]!;
    }
    t[Time.scale] = scale;
    this.#board.numbers[TransportSlot.tempoScale] = scale;
  }

  #setLoop(from: number, to: number): void {
    const t = this.times;
    const on = from >= 0 && to - from >= SHORTEST_LOOP_MICROS;
    t[Time.loopFrom] = on ? from : -1;
    t[Time.loopTo] = on ? to : -1;
    this.#board.numbers[TransportSlot.loopFromMicros] = t[Time.loopFrom]!;
    this.#board.numbers[TransportSlot.loopToMicros] = t[Time.loopTo]!;
    this.#looping = on;
    if (this.#sync.waiting) this.#resyncAfterLoop();
    if (!on) return;
    this.#loopRow = this.#cursors.rowAt(from);
    this.#rememberLoop();
    if (this.#state === Transport.playing) this.#songNow(Time.position);
    if (t[Time.position]! < to) return;
    if (this.#chasing()) {
      t[Time.nextRun] = t[Time.now]!;
      this.#repeat();
    } else {
      this.#seek(from);
    }
  }

  #rememberLoop(): void {
    const { event, columns } = this.#plan;
    this.#loopSong.forget();
    for (let row = 0; row < this.#loopRow; row += 1) {
      const at = event[row]!;
      const status = columns.status[at]!;
      if (status >= 0xf0) this.#loopSong.foldSysEx(columns.payload[at]!);
      else this.#loopSong.fold(status, columns.data1[at]!, columns.data2[at]!);
    }
    this.#restrike.locateLoop(this.#loopRow);
  }

  /** The repeat was called off after the follower had been sent back. */
  #resyncAfterLoop(): void {
    this.#songNow(Time.nextSong);
    this.#sync.repeated();
    this.#sync.stop(this.#sender);
    this.#sync.jump(this.times[Time.nextSong]!);
    this.#sync.start(this.#sender);
  }

  /** From B to A without a gap: the clock goes on exactly, what is left of the moment included. */
  #repeat(): void {
    const t = this.times;
    this.#breakOffPieces();
    silence(this.#sender, this.#sounding, this.#sender.used, Silence.brief);
    if (!this.#sync.waiting) this.#sync.relocate(this.#sender, t[Time.loopFrom]!);
    this.#sync.repeated();
    t[Time.anchorNow] = t[Time.nextRun]!;
    t[Time.anchorSong] = t[Time.loopFrom]!;
    t[Time.position] = t[Time.loopFrom]!;
    t[Time.floor] = t[Time.loopFrom]! > 0 ? t[Time.loopFrom]! : -Infinity;
    this.#row = this.#loopRow;
    this.#leadEnd = 0;
    this.#song.copyFrom(this.#loopSong);
    this.#looping = true;
    this.#chase(ALL_CHANNELS);
    this.#restrike.playLoop(this.#rows);
  }

  // ---- what is due ----

  #play(): void {
    const t = this.times;
    if (this.#state === Transport.ended && !this.finished && t[Time.now]! >= t[Time.notBefore]!) {
      silence(this.#sender, this.#sounding, this.#sender.used, Silence.soundOff);
      this.finished = true;
    }
    if (this.#state !== Transport.playing) return;
    if (this.#phase === CHASING) {
      if (!(t[Time.now]! >= t[Time.notBefore]!)) return;
      this.#finishStart();
    }
    while (this.#state === Transport.playing) {
      const what = this.#next();
      let run = t[Time.anchorNow]! + (t[Time.nextSong]! - t[Time.anchorSong]!) / t[Time.scale]!;
      if (what === ROW && run < t[Time.notBefore]!) run = t[Time.notBefore]!;
      t[Time.nextRun] = run;
      if (what === NOTHING || !(run <= t[Time.now]!)) break;
      const late = t[Time.now]! - run;
      if (late > STALL_MICROS) {
        this.#recover();
        return;
      }
      if (what === ROW) this.#playRow(late > LATE_MICROS);
      else this.#happen(what);
    }
    if (this.#behind) this.#catchUp();
  }

  /** Decides what comes next and leaves its song time in `nextSong`. */
  #next(): number {
    const t = this.times;
    let what = NOTHING;
    let song = Infinity;
    const limit = this.#looping ? t[Time.loopTo]! : t[Time.end]!;
    this.#sync.nextMicros(t, Time.nextSong);
    if (t[Time.nextSong]! < song) {
      song = t[Time.nextSong]!;
      what = CLOCK;
    }
    if (this.#countIn.pending) {
      this.#countIn.nextOffset(t, Time.nextSong);
      const click = t[Time.lead]! + t[Time.nextSong]!;
      if (click < song) {
        song = click;
        what = CLICK;
      }
    }
    if (this.#row < this.#plan.count) {
      let release = this.#plan.releaseMicros[this.#row]!;
      if (release < t[Time.floor]!) release = t[Time.floor]!;
      if (this.#row < this.#leadEnd) release = t[Time.lead]!;
      if (release < song || (release === song && what === CLICK)) {
        song = release;
        what = ROW;
      }
    }
    if (this.#looping) {
      const relocate = limit - RELOCATE_MICROS * t[Time.scale]!;
      if (this.#sync.on && !this.#sync.waiting && relocate <= song) {
        song = relocate;
        what = RELOCATE;
      }
      if (song >= limit) {
        song = limit;
        what = REPEAT;
      }
    } else if (song > limit) {
      song = limit;
      what = END;
    }
    t[Time.nextSong] = song;
    return what;
  }

  #happen(what: number): void {
    const t = this.times;
    this.#sender.stampNow();
    this.#sender.at[At.dueMicros] = t[Time.nextRun]!;
    this.#sender.at[At.releaseMicros] = t[Time.nextRun]!;
    switch (what) {
      case CLOCK:
        this.#sync.clock(this.#sender);
        break;
      case CLICK:
        this.#countIn.play(this.#sender, this.#sounding);
        break;
      case RELOCATE:
        this.#sync.relocate(this.#sender, t[Time.loopFrom]!);
        break;
      case REPEAT:
        this.#repeat();
        break;
      case END:
        this.#end();
        break;
    }
  }

  #playRow(late: boolean): void {
    const t = this.times;
    const { columns, event } = this.#plan;
    const at = event[this.#row]!;
    const status = columns.status[at]!;
    const kind = status & 0xf0;
    if (this.#behind && !late) this.#catchUp();
    const register = this.#sender.at;
    const due = columns.micros[at]!;
    register[At.songMicros] = due;
    register[At.releaseMicros] = t[Time.nextRun]!;
    register[At.dueMicros] = t[Time.nextRun]!;
    if (kind === 0xf0) {
      this.#playPayload(at, late);
      return;
    }
    this.#row += 1;
    if (kind === 0x90 && columns.data2[at]! > 0) {
      if (due < t[Time.floor]! || (this.#looping && due >= t[Time.loopTo]!)) {
        this.#rows.skip(at); // due before play began, or after the repeat
      } else if (late) {
        this.#rows.skip(at);
        this.#board.numbers[TransportSlot.skippedNoteOns]! += 1;
      } else {
        this.#heard = true;
        register[At.dueMicros] = t[Time.anchorNow]! + (due - t[Time.anchorSong]!) / t[Time.scale]!;
        this.#rows.noteOn(at);
      }
    } else if (kind === 0x80 || kind === 0x90) {
      this.#rows.noteOff(at);
    } else if (late) {
      this.#rows.remember(at);
      this.#behind = true;
    } else {
      this.#rows.state(at);
    }
  }

  #playPayload(at: number, late: boolean): void {
    const { columns } = this.#plan;
    const payload = columns.payload[at]!;
    const role = this.#catalogue.role[payload]!;
    const length = columns.payloadLength[payload]!;
    if (role === SysExRole.held) {
      this.#board.numbers[TransportSlot.heldSysEx]! += 1;
      this.#row += 1;
      return;
    }
    if (late && this.#pieces === 0 && role !== SysExRole.reset) {
      this.#rows.remember(at);
      this.#behind = true;
      this.#row += 1;
      return;
    }
    const piece = Math.min(PIECE_BYTES, length - this.#pieces);
    this.#sender.piece(columns.status[at]!, payload, this.#pieces, piece);
    this.#pieces += piece;
    if (this.#pieces < length) {
      this.#sender.holdUntilFree(0);
      return;
    }
    this.#pieces = 0;
    this.#row += 1;
    this.#rows.remember(at);
    this.#sender.memory.foldSysEx(payload);
    if (role === SysExRole.reset) this.#settle();
    else if (length > PIECE_BYTES) this.#sender.holdUntilFree(0);
  }

  /** After a reset nothing is handed over for a while. Before the first note nobody hears the clock wait. */
  #settle(): void {
    const t = this.times;
    this.#sender.holdUntilFree(this.#settleMicros);
    if (!this.#heard) t[Time.anchorNow]! += t[Time.notBefore]! - t[Time.nextRun]!;
  }

  #end(): void {
    const t = this.times;
    this.#halt(Silence.rest);
    this.#state = Transport.ended;
    t[Time.position] = t[Time.end]!;
    this.#sender.holdUntilFree(this.#ringOutMicros);
  }

  /** The machine slept: silence, and go on from where the music was. */
  #recover(): void {
    const t = this.times;
    this.#board.numbers[TransportSlot.stalls]! += 1;
    const at = Math.min(t[Time.nextSong]!, t[Time.end]!);
    const floor = t[Time.floor]!;
    const pieces = this.#pieces;
    this.#sender.stampNow();
    this.#halt(Silence.rest);
    t[Time.position] = at;
    t[Time.floor] = floor;
    if (pieces > 0) this.#row += 1; // the rest of a broken SysEx is worth nothing
    this.#begin(false);
  }

  // ---- silence and chase ----

  #chasing(): boolean {
    return this.#state === Transport.playing && this.#phase === RUNNING;
  }

  #silenceAndRestore(channels: number, depth: number): void {
    if (channels === 0) return;
    silence(this.#sender, this.#sounding, channels, depth);
    if (this.#chasing()) this.#chase(channels);
  }

  #silenceNote(channel: number, key: number): void {
    this.#sender.stampNow();
    if (this.#sounding.strikes[channel * 128 + key]! > 0) {
      silenceKey(this.#sender, this.#sounding, channel, key);
    } else {
      // Not ours, or only a pedal holds it: one note-off for the first, pedals up and down for the second.
      this.#sender.message(0x80 | channel, key, 64);
      this.#silenceAndRestore(1 << channel, Silence.brief);
    }
  }

  #catchUp(): void {
    this.#behind = false;
    this.#sender.stampNow();
    this.#chase(ALL_CHANNELS);
  }

  #chase(channels: number): void {
    const { sysEx } = this.#song;
    for (let turn = 0; channels === ALL_CHANNELS; ) {
      const missing = sysEx.nextMissing(this.#sender.memory.sysEx, turn);
      if (missing < 0) break;
      turn = sysEx.turn[this.#catalogue.kind[missing]!]!;
      this.#sender.sysEx(0xf0, missing);
    }
    for (let channel = 0; channel < 16; channel += 1) {
      if ((channels & (1 << channel)) === 0) continue;
      chaseChannel(this.#song, this.#sender, channel, this.#board.programOverride[channel]!);
      chaseKeyPressure(this.#song, this.#sender, channel, this.#rows.shift(channel));
    }
  }

  #breakOffPieces(): void {
    if (this.#pieces > 0) this.#sender.breakOff();
    this.#pieces = 0;
  }

  // ---- time ----

  /** Writes the song time of `now` into a place of `times`. Before the anchor the song stands still. */
  #songNow(place: number): void {
    const t = this.times;
    const passed = this.#phase === RUNNING ? Math.max(0, t[Time.now]! - t[Time.anchorNow]!) : 0;
    t[place] = t[Time.anchorSong]! + passed * t[Time.scale]!;
  }

  #sense(): void {
    const t = this.times;
    const next = t[Time.lastSent]! + SENSING_MICROS;
    if (t[Time.now]! >= next) {
      this.#sender.stampNow();
      this.#sender.message(0xfe, 0, 0);
    }
    const again = t[Time.lastSent]! + SENSING_MICROS;
    if (again < t[Time.wake]!) t[Time.wake] = again;
  }

  #show(): void {
    const t = this.times;
    const { numbers } = this.#board;
    if (this.#state === Transport.playing) this.#songNow(Time.position);
    numbers[TransportSlot.transport] = this.#state;
    numbers[TransportSlot.positionMicros] = t[Time.position]!;
    const ahead = this.#state === Transport.playing && t[Time.anchorNow]! > t[Time.now]!;
    numbers[TransportSlot.positionAtMicros] = ahead ? t[Time.anchorNow]! : t[Time.now]!;
  }
}

function clamp(value: number, low: number, high: number): number {
  // NaN, from a driver's mistake, counts as the low end.
  if (!(value > low)) return low;
  return Math.min(value, high);
}
