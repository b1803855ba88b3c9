import { type FoundProgram, findProgram } from '../instrument/find-program.ts';
import type { Instrument } from '../instrument/instrument.ts';
import { Cc } from '../midi/controllers.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';

/** Which sound of an instrument each channel has, as the rows of a timeline go by. */
export class ChannelPrograms {
  /** [16] last program, −1 before the first; the bank select that was in force at it, −1 for none. */
  readonly program = new Int16Array(16).fill(-1);
  readonly msb = new Int16Array(16).fill(-1);
  readonly lsb = new Int16Array(16).fill(-1);
  /** [16] what the instrument has for it. Before any program: its first, as after being switched on. */
  readonly found: FoundProgram[];
  readonly #columns: TimelineColumns;
  readonly #instrument: Instrument;
  readonly #nextMsb = new Int16Array(16).fill(-1);
  readonly #nextLsb = new Int16Array(16).fill(-1);

  constructor(columns: TimelineColumns, instrument: Instrument) {
    this.#columns = columns;
    this.#instrument = instrument;
    const [first] = instrument.banks[0]?.programs ?? [];
    const start: FoundProgram =
      first === undefined ? { kind: 'no-program' } : { kind: 'found', program: first };
    this.found = new Array<FoundProgram>(16).fill(start);
  }

  take(row: number): void {
    const { status, data1, data2 } = this.#columns;
    const kind = status[row]! & 0xf0;
    const channel = status[row]! & 0x0f;
    if (kind === 0xb0) {
      if (data1[row] === Cc.bankSelect) this.#nextMsb[channel] = data2[row]!;
      else if (data1[row] === Cc.bankSelectFine) this.#nextLsb[channel] = data2[row]!;
    } else if (kind === 0xc0) {
      this.program[channel] = data1[row]!;
      this.msb[channel] = this.#nextMsb[channel]!;
      this.lsb[channel] = this.#nextLsb[channel]!;
      this.found[channel] = findProgram(
        this.#instrument,
        this.msb[channel]!,
        this.lsb[channel]!,
        data1[row]!,
      );
    }
  }
}
