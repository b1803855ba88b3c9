import { DRUM_CHANNEL, GM_DRUM_CHANNELS } from '../instrument/general-midi.ts';
import type { SendPlan } from '../wire/send-plan.ts';
import { CountIn } from './count-in.ts';
import { PlanCursor } from './plan-cursor.ts';
import { ReceiverMemory } from './receiver-memory.ts';
import { Restrike } from './restrike.ts';
import { RowSender } from './row-sender.ts';
import type { SchedulerOptions } from './scheduler-options.ts';
import { TIME_COUNT, Time } from './scheduler-times.ts';
import { Sender } from './sender.ts';
import { settledBeforeNotes } from './settled.ts';
import { Sounding } from './sounding.ts';
import { SyncOut } from './sync-out.ts';
import { catalogueSysEx, type SysExCatalogue } from './sysex-catalogue.ts';
import { Transport, type TransportBoard } from './transport-board.ts';
import { Visitor } from './visitor.ts';

export const ALL_CHANNELS = 0xffff;

/** A start has two steps: what was reset in the skipped part settles (`starting`), then chase and music. */
export const Phase = { running: 0, starting: 1 } as const;

/** Rest after a reset: common practice, no source (some tens to 100 ms). */
const SETTLE_MICROS = 100_000;
const RING_OUT_MICROS = 1_000_000;

/** Everything a scheduler knows about the run; the files beside this one are the steps that change it. */
export class Playback {
  readonly times = new Float64Array(TIME_COUNT);
  readonly plan: SendPlan;
  readonly board: TransportBoard;
  readonly catalogue: SysExCatalogue;
  readonly sender: Sender;
  readonly sounding: Sounding;
  /** What the song has said up to `row`. */
  readonly song: ReceiverMemory;
  /** What it has said up to the loop's beginning. */
  readonly loopSong: ReceiverMemory;
  readonly rows: RowSender;
  readonly visitor: Visitor | undefined;
  readonly cursors: PlanCursor;
  readonly restrike: Restrike;
  readonly sync: SyncOut;
  readonly countIn: CountIn;
  readonly drumChannels: number;
  readonly settleMicros: number;
  readonly ringOutMicros: number;

  /** One of `Transport`. */
  state: number = Transport.stopped;
  phase: number = Phase.running;
  /** Next row of the plan. Rows before `leadEnd` may leave when a count-in begins. */
  row = 0;
  leadEnd = 0;
  /** Bytes of the SysEx in this row that are already out; 0 when none is under way. */
  pieces = 0;
  /** A note-on went out since play began: the clock may not be moved any more. */
  heard = false;
  /** Late rows were left out: the chase has to catch up with what they said. */
  behind = false;
  /** The repeat at the loop's end is still ahead. */
  looping = false;
  loopRow = 0;
  /** Another machine's clock says where the song is (`followSong`, `followScale`). */
  following = false;
  /** All is silent for good. */
  finished = false;

  constructor(options: SchedulerOptions) {
    const { plan, board } = options;
    const { columns } = plan;
    this.plan = plan;
    this.board = board;
    this.catalogue = catalogueSysEx(columns, options.allowSysEx ?? false);
    const settled = settledBeforeNotes(plan);
    this.sender = new Sender(options.outlet, columns, this.catalogue, this.times);
    this.sounding = new Sounding(columns.status);
    this.song = new ReceiverMemory(this.catalogue, settled);
    this.loopSong = new ReceiverMemory(this.catalogue, settled);
    this.rows = new RowSender(columns, board, this.song, this.sender, this.sounding);
    this.sender.visitor = this.visitor = visitorOf(this, options);
    this.cursors = new PlanCursor(plan);
    this.drumChannels = options.drumChannels ?? GM_DRUM_CHANNELS;
    this.restrike = new Restrike(plan, options.restrike ?? false, this.drumChannels);
    this.sync = new SyncOut(options.clockMicros);
    this.countIn = new CountIn(options.countInBars ?? 0, options.beats, clickChannelOf(this.drumChannels));
    this.settleMicros = options.settleMicros ?? SETTLE_MICROS;
    this.ringOutMicros = options.ringOutMicros ?? RING_OUT_MICROS;
    const t = this.times;
    const lastRelease = plan.count > 0 ? plan.releaseMicros[plan.count - 1]! : 0;
    t[Time.end] = Math.max(options.durationMicros, lastRelease, 0);
    t[Time.start] = Math.min(Math.max(options.startMicros ?? 0, 0), t[Time.end]!);
    t[Time.scale] = 1;
    t[Time.wake] = Infinity;
    t[Time.loopFrom] = -1;
    t[Time.loopTo] = -1;
    t[Time.notBefore] = -Infinity;
  }

  /** The music runs: rows are handed over as they fall due. */
  get running(): boolean {
    return this.state === Transport.playing && this.phase === Phase.running;
  }

  /** Writes the song time of `now` into a place of `times`. Before the anchor the song stands still. */
  songNow(place: number): void {
    const t = this.times;
    t[place] = t[Time.anchorSong]! + Math.max(0, t[Time.now]! - t[Time.anchorNow]!) * t[Time.scale]!;
  }

  breakOffPieces(): void {
    this.sender.breakOff();
    this.pieces = 0;
  }
}

function visitorOf(
  p: Playback,
  { visitorChannel, allowSysEx = false }: SchedulerOptions,
): Visitor | undefined {
  if (visitorChannel === undefined) return undefined;
  return new Visitor(p.sender, p.times, p.board, p.plan.columns, visitorChannel, allowSysEx, p.rows);
}

/** The first channel with drums clicks; where there is none, channel 10 is as good as any. */
function clickChannelOf(drumChannels: number): number {
  return drumChannels === 0 ? DRUM_CHANNEL : 31 - Math.clz32(drumChannels & -drumChannels);
}
