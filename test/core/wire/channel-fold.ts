import type { TimelineColumns } from '../../../src/core/timeline/timeline.ts';

/**
 * A receiver of our own, for judging plans: folds messages one after another into the state of each channel as
 * MIDI 1.0 defines it, and writes down what matters of each note as it comes. Shares no code with the plan.
 */
export class ChannelFold {
  readonly #state = Array.from({ length: 16 }, () => ({
    controller: new Array<number>(128).fill(-1),
    program: -1,
    bend: -1,
    pressure: -1,
    keyPressure: new Map<number, number>(),
    /** Data entries and increments act on what was selected before: their whole history counts. */
    dataEntries: '',
    resets: 0,
    /** Note prefixes that wait for the next note. */
    prefix: '',
  }));
  #sysExSeen = 0;
  /** The line of each channel, until a message changes its state: most notes begin in the state of the one before. */
  readonly #lines: (string | undefined)[] = new Array(16);
  /** One line for each note-on (channel and key, then the state it began in) by timeline row. */
  readonly onsets = new Map<number, string>();
  /** One line for each note-off: what decides whether it ends the note. */
  readonly releases = new Map<number, string>();

  take(columns: TimelineColumns, row: number): void {
    const status = columns.status[row]!;
    const data1 = columns.data1[row]!;
    const data2 = columns.data2[row]!;
    if (status >= 0xf0) {
      this.#sysExSeen++;
      this.#lines.fill(undefined);
      return;
    }
    const state = this.#state[status & 15]!;
    if (status >= 0xa0) this.#lines[status & 15] = undefined;
    switch (status & 0xf0) {
      case 0x90:
      case 0x80:
        if ((status & 0xf0) === 0x90 && data2 > 0) {
          this.onsets.set(row, this.at(status & 15));
          if (state.prefix !== '') this.#lines[status & 15] = undefined;
          state.prefix = '';
        } else {
          const pedals = [64, 66, 69].map((pedal) => state.controller[pedal]! >= 64);
          this.releases.set(row, `${pedals} ${state.resets} ${this.#sysExSeen}`);
        }
        return;
      case 0xa0:
        state.keyPressure.set(data1, data2);
        return;
      case 0xb0:
        if (data1 === 6 || data1 === 38 || data1 === 96 || data1 === 97) {
          const selected = [98, 99, 100, 101].map((number) => state.controller[number]);
          state.dataEntries += `${selected}:${data1}=${data2};`;
        }
        if (data1 === 84 || data1 === 88) state.prefix += `${data1}=${data2};`;
        if (data1 >= 120) state.resets++;
        state.controller[data1] = data2;
        if (data1 < 32) state.controller[data1 + 32] = 0;
        return;
      case 0xc0:
        state.program = data1 + 128 * state.controller[0]! + 16384 * state.controller[32]!;
        return;
      case 0xd0:
        state.pressure = data1;
        return;
      default:
        state.bend = data1 + 128 * data2;
    }
  }

  /** The state of a channel now. */
  at(channel: number): string {
    const state = this.#state[channel]!;
    this.#lines[channel] ??= JSON.stringify([state, [...state.keyPressure], this.#sysExSeen]);
    return this.#lines[channel];
  }

  /** The state of all channels after everything. */
  end(): string {
    return this.#state.map((_, channel) => this.at(channel)).join('\n');
  }
}
