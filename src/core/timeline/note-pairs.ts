import { ChannelTally } from './channel-tally.ts';
import { judgeUnpaired } from './judge-unpaired.ts';
import { NO_PARTNER, type TimelineColumns } from './timeline.ts';
import type { TimelineFindings } from './timeline-finding.ts';

const KEYS = 128;
const VOICES_PER_PORT = 16 * KEYS;

/**
 * Gives each note-on its note-off: two ons on one key need two offs, and the first struck is the first
 * released (MIDI 1.0, A-4). Tracks that ask for different ports drive different instruments and are paired
 * apart.
 *
 * While a strike waits, its `partner` holds the row of the next one waiting on its key: the queues need no
 * memory of their own.
 */
export class NotePairs {
  readonly #columns: TimelineColumns;
  readonly #partner: Uint32Array;
  readonly #tick: Uint32Array;
  readonly #firstWaiting: Uint32Array;
  readonly #lastWaiting: Uint32Array;
  readonly #struckTwice = new ChannelTally();
  readonly #withoutLength = new ChannelTally();
  #surplusReleases = 0;
  #neverReleased = 0;

  constructor(columns: TimelineColumns, ports: number) {
    this.#columns = columns;
    this.#partner = columns.partner;
    this.#tick = columns.tick;
    this.#firstWaiting = new Uint32Array(ports * VOICES_PER_PORT).fill(NO_PARTNER);
    this.#lastWaiting = new Uint32Array(ports * VOICES_PER_PORT);
  }

  /** A note-on with a velocity. @param port 0, 1, 2 … */
  strike(row: number, port: number, channel: number, key: number): void {
    const voice = port * VOICES_PER_PORT + channel * KEYS + key;
    if (this.#firstWaiting[voice] === NO_PARTNER) this.#firstWaiting[voice] = row;
    else {
      this.#partner[this.#lastWaiting[voice]!] = row;
      this.#struckTwice.add(channel, row);
    }
    this.#lastWaiting[voice] = row;
    this.#partner[row] = NO_PARTNER;
  }

  /** A note-off, or a note-on with velocity 0. */
  release(row: number, port: number, channel: number, key: number): void {
    const voice = port * VOICES_PER_PORT + channel * KEYS + key;
    const strike = this.#firstWaiting[voice]!;
    this.#partner[row] = strike; // NO_PARTNER where none waits
    if (strike === NO_PARTNER) {
      this.#surplusReleases += 1;
      return;
    }
    this.#firstWaiting[voice] = this.#partner[strike]!;
    this.#partner[strike] = row;
    if (this.#tick[strike] === this.#tick[row]) this.#withoutLength.add(channel, strike);
  }

  /** The instruments change, or the song ends: strikes still waiting will never be released. */
  end(): void {
    for (let voice = 0; voice < this.#firstWaiting.length; voice += 1) {
      for (let row = this.#firstWaiting[voice]!; row !== NO_PARTNER; this.#neverReleased += 1) {
        const next = this.#partner[row]!;
        this.#partner[row] = NO_PARTNER;
        row = next;
      }
      this.#firstWaiting[voice] = NO_PARTNER;
    }
  }

  report(findings: TimelineFindings): void {
    this.#struckTwice.report('note-struck-twice', this.#columns, findings);
    this.#withoutLength.report('note-without-length', this.#columns, findings);
    if (this.#neverReleased + this.#surplusReleases > 0) judgeUnpaired(this.#columns, findings);
  }
}
