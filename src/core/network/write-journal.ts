import { Cc } from '../midi/controllers.ts';
import { NO_PARAMETER } from '../schedule/receiver-memory.ts';
import { BEND_UNSET, UNSET } from '../schedule/rest-values.ts';
import { Chapter, LONGEST_CHANNEL_JOURNAL, ParameterField } from './journal.ts';
import { StreamMemory } from './stream-memory.ts';

/**
 * A lost note-on is struck late if the journal tells of it so soon, and left out otherwise: a drum a fifth of a second late is
 * a fault of its own. 150 ms is ours; RFC 6295, A.6 leaves it to the sender.
 */
export const STRIKE_LATE_MICROS = 150_000;

/**
 * Writes the journal of everything that a stream has said: the checkpoint is its first packet ("anchor" sending policy, RFC
 * 6295, C.2.2), since without reports from the receiver nobody knows what arrived. So any one packet
 * brings any receiver up to date, one that came late or was away among them. The S bits, by which a receiver may pass
 * over what one lost packet cannot have changed, stay 0: it reads everything.
 */
export class JournalWriter {
  readonly memory = new StreamMemory();
  readonly #checkpoint: number;
  /** Each channel's journal as it was last written; empty where there is nothing to tell. */
  readonly #channels: Uint8Array[] = Array.from({ length: 16 }, () => new Uint8Array(0));

  /** @param checkpoint sequence number of the stream's first packet */
  constructor(checkpoint: number) {
    this.#checkpoint = checkpoint;
  }

  write(nowMicros: number): Uint8Array {
    let count = 0;
    let length = HEAD_BYTES;
    for (let channel = 0; channel < 16; channel += 1) {
      if ((this.memory.changed & (1 << channel)) !== 0) this.#renew(channel, nowMicros);
      if (this.#channels[channel]!.length > 0) count += 1;
      length += this.#channels[channel]!.length;
    }
    const journal = new Uint8Array(length);
    journal[0] = count === 0 ? 0 : HAS_CHANNELS | (count - 1);
    journal[1] = this.#checkpoint >> 8;
    journal[2] = this.#checkpoint & 0xff;
    let at = HEAD_BYTES;
    for (const bytes of this.#channels) {
      journal.set(bytes, at);
      at += bytes.length;
    }
    return journal;
  }

  /** Where a fresh note may still be struck late, that ends by itself: the channel is written anew next time too. */
  #renew(channel: number, nowMicros: number): void {
    const { memory } = this;
    this.#channels[channel] = Uint8Array.from(channelJournal(memory, channel, nowMicros) ?? []);
    let isFresh = false;
    for (let cell = channel * 128; cell < channel * 128 + 128 && !isFresh; cell += 1)
      isFresh = memory.strikes[cell]! > 0 && nowMicros - memory.struck[cell]! <= STRIKE_LATE_MICROS;
    if (!isFresh) memory.changed &= ~(1 << channel);
  }
}

const HEAD_BYTES = 3;
const HAS_CHANNELS = 0x20;
const CHANNEL_HEAD_BYTES = 3;

/** Undefined where the channel has nothing to tell. */
function channelJournal(memory: StreamMemory, channel: number, nowMicros: number): number[] | undefined {
  const before = [
    [Chapter.program, programChapter(memory, channel)],
    [Chapter.controllers, controllerChapter(memory, channel)],
  ] as const;
  const after = [
    [Chapter.bend, bendChapter(memory, channel)],
    [Chapter.notes, noteChapter(memory, channel, nowMicros)],
    [Chapter.pressure, pressureChapter(memory, channel)],
    [Chapter.keyPressure, keyPressureChapter(memory, channel)],
  ] as const;
  const used = [...before, ...after].reduce((sum, [, bytes]) => sum + bytes.length, CHANNEL_HEAD_BYTES);
  const parameters = parameterChapter(memory, channel, LONGEST_CHANNEL_JOURNAL - used);
  const length = used + parameters.length;
  if (length === CHANNEL_HEAD_BYTES) return undefined;
  const journal = [(channel << 3) | (length >> 8), length & 0xff, 0];
  for (const [bit, bytes] of [...before, [Chapter.parameters, parameters] as const, ...after]) {
    if (bytes.length === 0) continue;
    journal[2]! |= bit;
    journal.push(...bytes);
  }
  return journal;
}

/** A.2: program, then the bank in force when it came. */
function programChapter({ held }: StreamMemory, channel: number): number[] {
  const program = held.program[channel]!;
  if (program === UNSET) return [];
  const [msb, lsb] = [held.bankMsb[channel]!, held.bankLsb[channel]!];
  if (msb === UNSET && lsb === UNSET) return [program, 0, 0];
  return [program, 0x80 | half(msb), half(lsb)];
}

function half(value: number): number {
  return value === UNSET ? 0 : value;
}

/** A.3: by value; mode messages that have none that matters by how often they came. */
function controllerChapter({ held, counts }: StreamMemory, channel: number): number[] {
  const logs: number[] = [];
  for (let number = 0; number < 128; number += 1) {
    if (isParameterController(number)) continue;
    if (isCounted(number)) {
      const count = counts[channel * 8 + number - Cc.allSoundOff]!;
      if (count > 0) logs.push(number, 0xc0 | count);
    } else {
      // A fine half that is older than its coarse one stands before it.
      const isPair = number < 64;
      const place = isPair && held.stale[channel * 32 + (number & 31)] === 1 ? number ^ 32 : number;
      const value = held.value[channel * 128 + place]!;
      if (value !== UNSET && !isParameterController(place)) logs.push(place, value);
    }
  }
  return logs.length === 0 ? [] : [logs.length / 2 - 1, ...logs];
}

/** Chapter M has these (A.4). */
function isParameterController(number: number): boolean {
  return (
    number === Cc.dataEntry || number === Cc.dataEntryFine || (number >= Cc.dataIncrement && number <= Cc.rpn)
  );
}

/** All but Local Control and Mono, whose value says something. */
function isCounted(number: number): boolean {
  return number >= Cc.allSoundOff && number !== Cc.localControl && number !== Cc.monoOn;
}

/** A.4: the parameter that data entry goes to stands last, and E says that it is chosen. Of too many the first are left out. */
function parameterChapter({ held }: StreamMemory, channel: number, room: number): number[] {
  const selected = held.selection(channel);
  const { parameters } = held;
  const keys: number[] = [];
  for (let row = 0; row < parameters.count; row += 1) {
    const key = parameters.key[row]!;
    if (key >> 15 === channel && key !== selected) keys.push(key);
  }
  if (selected !== NO_PARAMETER) keys.push(selected);
  const logs: number[][] = [];
  let length = 2;
  for (const key of keys.reverse()) {
    const log = parameterLog(held.parameters, key);
    if (length + log.length > room) break;
    length += log.length;
    logs.unshift(log);
  }
  if (logs.length === 0) return [];
  return [(selected === NO_PARAMETER ? 0 : 0x20) | (length >> 8), length & 0xff, ...logs.flat()];
}

function parameterLog(parameters: StreamMemory['held']['parameters'], key: number): number[] {
  const row = parameters.find(key);
  const fields: number[] = [];
  let flags: number = ParameterField.isValue;
  const [msb, lsb, steps] =
    row < 0 ? [UNSET, UNSET, 0] : [parameters.msb[row]!, parameters.lsb[row]!, parameters.steps[row]!];
  if (msb !== UNSET) {
    flags |= ParameterField.entryMsb;
    fields.push(msb);
  }
  if (lsb !== UNSET) {
    flags |= ParameterField.entryLsb;
    fields.push(lsb);
  }
  if (steps !== 0) {
    flags |= ParameterField.buttonA;
    const many = Math.min(Math.abs(steps), 0x3fff);
    fields.push((steps < 0 ? 0x80 : 0) | (many >> 8), many & 0xff);
  }
  return [key & 0x7f, ((key & 0x4000) !== 0 ? 0x80 : 0) | ((key >> 7) & 0x7f), flags, ...fields];
}

/** A.5: the two data bytes of the last bend. */
function bendChapter({ held }: StreamMemory, channel: number): number[] {
  const bend = held.bend[channel]!;
  return bend === BEND_UNSET ? [] : [bend & 0x7f, bend >> 7];
}

/** A.6: a log for each key that sounds, a bit for each that did. */
function noteChapter(memory: StreamMemory, channel: number, nowMicros: number): number[] {
  const logs: number[] = [];
  const off = new Uint8Array(16);
  let [low, high] = [NO_BITS, 0];
  for (let key = 0; key < 128; key += 1) {
    const cell = channel * 128 + key;
    if (memory.strikes[cell]! > 0) {
      const play = nowMicros - memory.struck[cell]! <= STRIKE_LATE_MICROS ? 0x80 : 0;
      logs.push(key, play | memory.velocity[cell]!);
    } else if (memory.touched[cell] === 1) {
      off[key >> 3]! |= 0x80 >> (key & 7);
      low = Math.min(low, key >> 3);
      high = key >> 3;
    }
  }
  const count = logs.length / 2;
  if (low === NO_BITS) {
    if (count === 0) return [];
    // 127 logs and 128 share a LEN; HIGH tells them apart.
    return [Math.min(count, 127), 0xf0 | (count === 127 ? 1 : 0), ...logs];
  }
  return [count, (low << 4) | high, ...logs, ...off.subarray(low, high + 1)];
}

const NO_BITS = 16;

/** A.8. */
function pressureChapter({ held }: StreamMemory, channel: number): number[] {
  const pressure = held.pressure[channel]!;
  return pressure === UNSET ? [] : [pressure];
}

/** A.9. */
function keyPressureChapter({ held }: StreamMemory, channel: number): number[] {
  const logs: number[] = [];
  for (let key = 0; key < 128; key += 1) {
    const pressure = held.keyPressure[channel * 128 + key]!;
    if (pressure !== UNSET) logs.push(key, pressure);
  }
  return logs.length === 0 ? [] : [logs.length / 2 - 1, ...logs];
}
