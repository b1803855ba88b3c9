import { Cc } from '../../midi/controllers.ts';

const UNSEEN = -1;
const CENTRE = 8192;

/** What controllers are at where nothing was sent: General MIDI 1; 0 for the rest. */
const AT_REST: Readonly<Record<number, number>> = {
  [Cc.volume]: 100,
  [Cc.balance]: 64,
  [Cc.pan]: 64,
  [Cc.expression]: 127,
};

/** Not settings that last, or settings of their own: banks, data entry and its choice, mode messages. */
const APART = new Set<number>([0, 32, 6, 38, 96, 97, 98, 99, 100, 101]);

/** What a Reset All Controllers puts to rest (RP-015). */
const RESET = [Cc.modulation, Cc.damper, Cc.portamento, Cc.sostenuto, Cc.soft, Cc.hold2] as const;

/** A message, without its channel. */
export type ChannelMessage = readonly [kind: number, data1: number, data2: number];

/** The settings of one channel, as the messages that set them go by. */
export class ChannelSettingsSeen {
  readonly #controllers = new Int16Array(128).fill(UNSEEN);
  #bend = CENTRE;
  #pressure = 0;
  #parameter = 0x3fff;
  #range: number;
  /** A registered parameter has said so: without, a song means one range and an instrument may have another. */
  #isRangeSaid = false;

  constructor(bendRange: number) {
    this.#range = bendRange;
  }

  /** Volume and expression, each of 127, multiplied. */
  get loudness(): number {
    return Math.max(1, this.#at(Cc.volume)) * Math.max(1, this.#at(Cc.expression));
  }

  take(kind: number, data1: number, data2: number): void {
    if (kind === 0xe0) this.#bend = data1 | (data2 << 7);
    else if (kind === 0xd0) this.#pressure = data1;
    else if (kind !== 0xb0) return;
    else if (data1 === Cc.resetAllControllers) this.#reset();
    else if (data1 === Cc.rpn) this.#parameter = (this.#parameter & 0x7f) | (data2 << 7);
    else if (data1 === Cc.rpnFine) this.#parameter = (this.#parameter & 0x3f80) | data2;
    else if (data1 === Cc.nrpn || data1 === Cc.nrpnFine) this.#parameter = 0x3fff;
    else if (data1 === Cc.dataEntry && this.#parameter === 0) this.#sayRange(data2);
    else if (data1 < 120 && !APART.has(data1)) this.#controllers[data1] = data2;
  }

  /** The messages that make a channel with the settings `now` sound like this one; `now` is then as this is. */
  *messagesFrom(now: ChannelSettingsSeen): Generator<ChannelMessage> {
    for (let number = 0; number < 120; number += 1) {
      if (APART.has(number) || this.#at(number) === now.#at(number)) continue;
      yield [0xb0, number, this.#at(number)];
      now.#controllers[number] = this.#at(number);
    }
    if (this.#range !== now.#range || (this.#isRangeSaid && !now.#isRangeSaid)) {
      yield [0xb0, Cc.rpn, 0];
      yield [0xb0, Cc.rpnFine, 0];
      yield [0xb0, Cc.dataEntry, this.#range];
      yield [0xb0, Cc.rpn, 127];
      yield [0xb0, Cc.rpnFine, 127];
      now.#sayRange(this.#range);
    }
    if (this.#bend !== now.#bend) yield [0xe0, this.#bend & 0x7f, this.#bend >> 7];
    if (this.#pressure !== now.#pressure) yield [0xd0, this.#pressure, 0];
    now.#bend = this.#bend;
    now.#pressure = this.#pressure;
  }

  #sayRange(semitones: number): void {
    this.#range = semitones;
    this.#isRangeSaid = true;
  }

  #at(number: number): number {
    const value = this.#controllers[number]!;
    return value === UNSEEN ? (AT_REST[number] ?? 0) : value;
  }

  #reset(): void {
    for (const number of RESET) this.#controllers[number] = 0;
    this.#controllers[Cc.expression] = 127;
    this.#bend = CENTRE;
    this.#pressure = 0;
  }
}
