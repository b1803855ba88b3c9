import { sharedF64, sharedU8, sharedU16, sharedU32 } from './shared-columns.ts';
import { NO_PARTNER, type TimelineColumns } from './timeline.ts';
import { timelineColumns } from './timeline-columns.ts';

export type PayloadColumns = Pick<
  TimelineColumns,
  'payloadBytes' | 'payloadStart' | 'payloadLength' | 'payloadKind'
>;

/** For songs without SysEx. */
export const NO_PAYLOADS: PayloadColumns = {
  payloadBytes: new Uint8Array(0),
  payloadStart: new Uint32Array(0),
  payloadLength: new Uint32Array(0),
  payloadKind: new Uint8Array(0),
};

/** Columns of so many rows of zeros, without partner, to be filled in; the payloads are those given. */
export function blankRows(count: number, payloads: PayloadColumns): TimelineColumns {
  return timelineColumns({
    ...payloads,
    count,
    micros: sharedF64(count),
    tick: sharedU32(count),
    status: sharedU8(count),
    data1: sharedU8(count),
    data2: sharedU8(count),
    payload: sharedU32(count),
    track: sharedU16(count),
    partner: sharedU32(count).fill(NO_PARTNER),
  });
}
