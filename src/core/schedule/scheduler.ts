import { Next, nextThing } from './agenda.ts';
import { setForChannel } from './channel-settings.ts';
import { clamp } from './clamp.ts';
import { Op } from './command.ts';
import { repeat, setLoop } from './loop.ts';
import { At } from './outlet.ts';
import { playRow } from './play-row.ts';
import { ALL_CHANNELS, Phase, Playback } from './playback.ts';
import { catchUp, restateChannels, restoreChannels, silenceAndRestore, silenceNote } from './restore.ts';
import type { SchedulerOptions } from './scheduler-options.ts';
import { Time } from './scheduler-times.ts';
import { Silence, silence } from './silence.ts';
import * as transport from './transport.ts';
import { STALL_MICROS } from './transport.ts';
import { Transport, TransportSlot } from './transport-board.ts';
import { Visits } from './visits.ts';

/** A note-on older than this is not played any more; what it would have changed is caught up by the chase. */
export const LATE_MICROS = 50_000;

/**
 * A song being played, as a pure state machine: the driver sets `times[Time.now]` (run time, µs), calls `apply`
 * for each command and `advance`, which hands everything due to the outlet and leaves in `times[Time.wake]` when
 * it wants to be called again. Song position is computed from the last anchor, never added up. In steady state
 * nothing is allocated.
 */
export class Scheduler {
  readonly times: Float64Array;
  /** What somebody plays along, where the options let them. */
  readonly visits: Visits;
  readonly #p: Playback;
  #quit = false;

  constructor(options: SchedulerOptions) {
    this.#p = new Playback(options);
    this.times = this.#p.times;
    this.visits = new Visits(this.#p);
    options.board.numbers[TransportSlot.tempoScale] = 1;
    options.board.numbers[TransportSlot.drumChannels] = this.#p.drumChannels;
    transport.locate(this.#p, this.times[Time.start]!);
    this.#show();
  }

  /** True once all is silent for good: after `quit`, or after the song's end and its ring-out. */
  get finished(): boolean {
    return this.#p.finished;
  }

  /** Carries out a command (see `encodeCommand`), after everything that was due before it. */
  apply(op: number, a: number, b: number): void {
    if (this.#quit) return;
    const p = this.#p;
    const end = this.times[Time.end]!;
    this.#play();
    p.sender.stampNow();
    switch (op) {
      case Op.play:
        transport.play(p);
        break;
      case Op.pause:
        transport.pause(p);
        break;
      case Op.stop:
        transport.stop(p);
        break;
      case Op.seek:
        transport.seek(p, clamp(a, 0, end));
        break;
      case Op.loop:
        setLoop(p, clamp(a, 0, end), clamp(b, 0, end));
        break;
      case Op.loopOff:
        setLoop(p, -1, -1);
        break;
      case Op.tempoScale:
        transport.scaleTempo(p, clamp(a, 0.25, 4));
        break;
      case Op.transpose:
        p.board.numbers[TransportSlot.transpose] = Math.round(clamp(a, -24, 24));
        break;
      case Op.silenceAll:
        p.breakOffPieces();
        silenceAndRestore(p, ALL_CHANNELS, Silence.full);
        break;
      case Op.quit:
        p.sender.outlet.dropOthers();
        if (p.finished) p.sender.outlet.withdraw(ALL_CHANNELS, p.sender.unstruck);
        else transport.halt(p, Silence.full);
        p.state = Transport.stopped;
        p.finished = true;
        this.#quit = true;
        break;
      default:
        if (a >= 0 && a < 16) this.#applyToChannel(op, a, b);
    }
    this.advance();
  }

  /** From here on the song goes along a line that another machine's clock gives: see `FollowSink.follow`. */
  follow(line: Float64Array): void {
    if (this.#quit) return;
    this.#play();
    transport.follow(this.#p, line);
    this.advance();
  }

  /** Hands over everything due at `times[Time.now]`, and says in `times[Time.wake]` when to come again. */
  advance(): void {
    const p = this.#p;
    const t = this.times;
    this.#play();
    t[Time.wake] = Infinity;
    if (p.state === Transport.playing) t[Time.wake] = t[Time.nextRun]!;
    else if (p.state === Transport.ended && !p.finished) t[Time.wake] = t[Time.ringOut]!;
    this.#show();
  }

  /**
   * The receiver of these channels lost its memory (a port came back): silences it and tells it anew. With all
   * sixteen the music waits for that, SysEx included; with fewer it goes on, for the sake of the others.
   */
  restate(channels: number = ALL_CHANNELS): void {
    if (this.#quit) return;
    this.#play();
    if (channels === ALL_CHANNELS) transport.restate(this.#p);
    else restateChannels(this.#p, channels);
    this.advance();
  }

  #applyToChannel(op: number, channel: number, b: number): void {
    const p = this.#p;
    setForChannel(p.board, op, channel, b);
    switch (op) {
      case Op.mute:
      case Op.solo:
        silenceAndRestore(p, p.rows.settingsChanged(), Silence.brief);
        break;
      case Op.programOverride:
        if (p.running) restoreChannels(p, 1 << channel);
        break;
      case Op.silenceChannel:
        silenceAndRestore(p, 1 << channel, Silence.full);
        break;
      case Op.silenceNote:
        if (b >= 0 && b < 128) silenceNote(p, channel, b);
        break;
    }
  }

  /** Hands over what is due. */
  #play(): void {
    const p = this.#p;
    const t = this.times;
    if (p.state === Transport.ended) this.#ringOut();
    if (p.state !== Transport.playing) return;
    if (p.phase === Phase.starting) {
      t[Time.nextRun] = t[Time.notBefore]!;
      if (t[Time.now]! < t[Time.notBefore]!) return;
      transport.finishStart(p);
    }
    while (p.state === Transport.playing) {
      const what = nextThing(p);
      let run = t[Time.anchorNow]! + (t[Time.nextSong]! - t[Time.anchorSong]!) / t[Time.scale]!;
      if (what === Next.row && run < t[Time.notBefore]!) {
        // A receiver settles. Before the first note nobody hears the clock wait too; later the row is late.
        if (!p.heard && !p.following) t[Time.anchorNow]! += t[Time.notBefore]! - run;
        run = t[Time.notBefore]!;
      }
      const late = t[Time.now]! - run;
      if (what === Next.row && !p.heard && !p.following && late > LATE_MICROS && late <= STALL_MICROS) {
        // A thread that was held up as it began: again nobody hears the clock wait, and the first chord is whole.
        t[Time.anchorNow]! += late;
        run = t[Time.now]!;
      }
      t[Time.nextRun] = run;
      if (run > t[Time.now]!) break;
      if (t[Time.now]! - run > STALL_MICROS) {
        transport.recover(p);
        t[Time.nextRun] = t[Time.notBefore]!;
        return;
      }
      if (what === Next.row) playRow(p, t[Time.now]! - run > LATE_MICROS);
      else this.#happen(what);
    }
    if (p.behind) catchUp(p);
  }

  #happen(what: number): void {
    const p = this.#p;
    const t = this.times;
    p.sender.stampNow();
    p.sender.at[At.dueMicros] = t[Time.nextRun]!;
    p.sender.at[At.releaseMicros] = t[Time.nextRun]!;
    switch (what) {
      case Next.clock:
        p.sync.clock(p.sender);
        break;
      case Next.click:
        p.countIn.play(p.sender, p.sounding);
        break;
      case Next.relocate:
        p.sync.relocate(p.sender, t[Time.loopFrom]!);
        break;
      case Next.repeat:
        repeat(p);
        break;
      case Next.end:
        transport.end(p);
        break;
    }
  }

  #ringOut(): void {
    const p = this.#p;
    if (p.finished || this.times[Time.now]! < this.times[Time.ringOut]!) return;
    silence(p.sender, p.sounding, p.sender.used, Silence.soundOff);
    p.finished = true;
  }

  #show(): void {
    const p = this.#p;
    const t = this.times;
    const { numbers } = p.board;
    if (p.state === Transport.playing) p.songNow(Time.position);
    numbers[TransportSlot.transport] = p.state;
    numbers[TransportSlot.positionMicros] = t[Time.position]!;
    const ahead = p.state === Transport.playing && t[Time.anchorNow]! > t[Time.now]!;
    numbers[TransportSlot.positionAtMicros] = ahead ? t[Time.anchorNow]! : t[Time.now]!;
  }
}
