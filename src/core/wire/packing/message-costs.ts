import { isHeldBack, PayloadKind } from '../../timeline/payload-kind.ts';
import type { TimelineColumns } from '../../timeline/timeline.ts';
import { channelMessageBytes, rowBytes } from '../message-length.ts';
import { payloadKindOf } from '../payload-kind-of.ts';
import { microsPerByte, type WireTraits } from '../wire-traits.ts';
import type { PackOptions } from './pack-options.ts';

/**
 * Time each message takes on the wire (µs): status byte included, receiver gap and settle time too. Channel
 * messages by their status; SysEx by its row, 0 where it is held back.
 */
export class MessageCosts {
  readonly #status: Uint8Array;
  readonly #ofStatus = new Float64Array(256);
  readonly #ofSysEx = new Map<number, number>();

  constructor(columns: TimelineColumns, traits: WireTraits, options: Required<PackOptions>) {
    const byte = microsPerByte(traits);
    this.#status = columns.status;
    for (let status = 0x80; status < 0xf0; status += 1) {
      this.#ofStatus[status] = channelMessageBytes(status) * byte + traits.gapMicros;
      if ((status & 0xf0) === 0xc0) this.#ofStatus[status]! += traits.afterProgramMicros ?? 0;
    }
    for (let row = 0; row < columns.count; row += 1) {
      if (columns.status[row]! < 0xf0) continue;
      const kind = payloadKindOf(columns, row);
      if (isHeldBack(kind) && !options.allowSysEx) continue;
      const settle = kind === PayloadKind.reset ? options.settleMicros : (traits.afterSysExMicros ?? 0);
      this.#ofSysEx.set(row, rowBytes(columns, row) * byte + traits.gapMicros + settle);
    }
  }

  at(row: number): number {
    const status = this.#status[row]!;
    return status < 0xf0 ? this.#ofStatus[status]! : (this.#ofSysEx.get(row) ?? 0);
  }
}
