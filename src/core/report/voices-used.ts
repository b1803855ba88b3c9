import type { Instrument } from '../instrument/instrument.ts';
import { isDrumChannel } from '../instrument/sound-names.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';
import { ChannelPrograms } from './channel-programs.ts';
import { SoundingKeys } from './sounding-keys.ts';

/** The voices a song takes on an instrument: its pedals, the instrument's tail, and what each sound takes. */
export class VoicesUsed {
  readonly keys: SoundingKeys;
  readonly #programs: ChannelPrograms;
  readonly #status: Uint8Array;
  readonly #drums: readonly boolean[];
  readonly #heard: readonly boolean[];

  constructor(columns: TimelineColumns, instrument: Instrument) {
    this.keys = new SoundingKeys(columns, instrument.releaseMicros);
    this.#programs = new ChannelPrograms(columns, instrument);
    this.#status = columns.status;
    const channels = Array.from({ length: 16 }, (_, channel) => channel);
    this.#drums = channels.map((channel) => isDrumChannel(instrument, channel));
    this.#heard = channels.map((channel) => instrument.channels.includes(channel));
    for (const channel of channels) this.#weigh(channel);
  }

  take(row: number): void {
    this.#programs.take(row);
    if ((this.#status[row]! & 0xf0) === 0xc0) this.#weigh(this.#status[row]! & 0x0f);
    this.keys.take(row);
  }

  /** What the instrument does not have is counted as one voice: some other sound takes its place. */
  #weigh(channel: number): void {
    const found = this.#programs.found[channel]!;
    const each = found.kind === 'found' && !this.#drums[channel] ? found.program.voicesEach : 1;
    this.keys.voicesEach[channel] = this.#heard[channel] ? each : 0;
  }
}
