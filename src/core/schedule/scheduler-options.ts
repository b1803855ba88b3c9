import type { SendPlan } from '../wire/send-plan.ts';
import type { BeatTable } from './count-in.ts';
import type { Outlet } from './outlet.ts';
import type { TransportBoard } from './transport-board.ts';
import type { VisitorChannel } from './visitor.ts';

export interface SchedulerOptions {
  readonly plan: SendPlan;
  /** Song time of the song's end (`Timeline.durationMicros`). */
  readonly durationMicros: number;
  readonly outlet: Outlet;
  readonly board: TransportBoard;
  /** Song time at which the first `play` begins and to which `stop` returns; 0. */
  readonly startMicros?: number;
  /** Bars of clicks before a start from standstill; 0. Needs `beats` (see `beatTableOf`). */
  readonly countInBars?: number;
  readonly beats?: BeatTable;
  /** Strike the notes again that would be sounding where play begins after a seek or pause; false. */
  readonly restrike?: boolean;
  /** Send a maker's own SysEx and escapes too; false. */
  readonly allowSysEx?: boolean;
  /** Rest after a General MIDI reset, in microseconds; 100,000 (common practice, no source). */
  readonly settleMicros?: number;
  /** Bits of the channels that play drums, and so are not transposed; General MIDI's channel 10. */
  readonly drumChannels?: number;
  /** How long the last sound may die away after the song's end before CC120; 1,000,000. */
  readonly ringOutMicros?: number;
  /** Somebody may play along (see `Visitor`), on this channel. */
  readonly visitorChannel?: VisitorChannel;
  /** Song time of each MIDI clock (`clockMicrosOf`); given, sync is sent. */
  readonly clockMicros?: Float64Array;
}
