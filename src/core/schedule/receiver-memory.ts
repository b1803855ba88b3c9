import { Cc } from '../midi/controllers.ts';
import { ParameterMemory, parameterKey } from './parameter-memory.ts';
import { BEND_CENTRE, BEND_UNSET, RESET_BY_121, REST_VALUES, UNSET } from './rest-values.ts';
import { Settled } from './settled.ts';
import { NO_SYSEX, type SysExCatalogue } from './sysex-catalogue.ts';
import { SysExMemory } from './sysex-memory.ts';

/** No parameter is selected: data entry goes nowhere. */
export const NO_PARAMETER = -1;

/**
 * What a receiver holds after the messages so far: the state of sixteen channels, without the notes. The
 * scheduler keeps two, what the song has said and what was really sent; the chase is their difference.
 *
 *   value        u8  [2048] last value of each controller; UNSET while none came. Modes live here too:
 *                    of omni 124/125 and of mono/poly 126/127 only the last one is set
 *   named        u8  [2048] 1 for each controller that some message named, whatever a reset made of it since
 *   stale        u8  [512]  1 when the LSB of pair n (n and n + 32) is older than its MSB
 *   program      u8  [16]   with the bank that was in force when it came
 *   bend         u16 [16]   BEND_UNSET while none came
 *   pressure     u8  [16], keyPressure u8 [2048]
 *   selected     u8  [16]   0 nothing, 1 a registered, 2 a non-registered parameter
 *   reset        u8  [16]   1 once CC121 came
 */
export class ReceiverMemory {
  readonly value = new Uint8Array(2048);
  readonly named = new Uint8Array(2048);
  readonly stale = new Uint8Array(512);
  readonly program = new Uint8Array(16);
  readonly bankMsb = new Uint8Array(16);
  readonly bankLsb = new Uint8Array(16);
  readonly bend = new Uint16Array(16);
  readonly pressure = new Uint8Array(16);
  readonly keyPressure = new Uint8Array(2048);
  readonly selected = new Uint8Array(16);
  readonly reset = new Uint8Array(16);
  readonly parameters = new ParameterMemory();
  readonly sysEx: SysExMemory;
  /** What the song sets before a channel's first note (see `settledBeforeNotes`). */
  readonly settled: Uint8Array;

  constructor(
    catalogue: SysExCatalogue = NO_SYSEX,
    settled: Uint8Array = new Uint8Array(16 * Settled.stride),
  ) {
    this.sysEx = new SysExMemory(catalogue);
    this.settled = settled;
    this.forget();
  }

  /** Nothing is known. */
  forget(): void {
    this.forgetChannels(0xffff);
    this.parameters.clear();
    this.sysEx.forget();
  }

  /** Nothing is known of these channels; SysEx stays. */
  forgetChannels(channels: number): void {
    for (let channel = 0; channel < 16; channel += 1) {
      if ((channels & (1 << channel)) === 0) continue;
      this.value.fill(UNSET, channel * 128, channel * 128 + 128);
      this.named.fill(0, channel * 128, channel * 128 + 128);
      this.stale.fill(0, channel * 32, channel * 32 + 32);
      this.program[channel] = UNSET;
      this.bankMsb[channel] = UNSET;
      this.bankLsb[channel] = UNSET;
      this.bend[channel] = BEND_UNSET;
      this.pressure[channel] = UNSET;
      this.keyPressure.fill(UNSET, channel * 128, channel * 128 + 128);
      this.selected[channel] = 0;
      this.reset[channel] = 0;
      this.parameters.forgetChannel(channel);
    }
  }

  /**
   * Of a receiver of which nothing is known: what the song brought to rest by a reset alone, and never named, is
   * taken to be at rest. Nothing but a reset or a fresh start can have moved it; a hundred values for each channel
   * would hold the wire for a second otherwise.
   */
  presumeRest(song: ReceiverMemory, channels: number): void {
    for (let cell = 0; cell < 2048; cell += 1) {
      if ((channels & (1 << (cell >> 7))) === 0) continue;
      // No key is down: what was pressed on one matters to none.
      if (song.keyPressure[cell] === 0) this.keyPressure[cell] = 0;
      if (song.named[cell] !== 0 || song.value[cell] !== REST_VALUES[cell & 127]) continue;
      this.value[cell] = song.value[cell]!;
    }
  }

  copyFrom(other: ReceiverMemory): void {
    this.value.set(other.value);
    this.named.set(other.named);
    this.stale.set(other.stale);
    this.program.set(other.program);
    this.bankMsb.set(other.bankMsb);
    this.bankLsb.set(other.bankLsb);
    this.bend.set(other.bend);
    this.pressure.set(other.pressure);
    this.keyPressure.set(other.keyPressure);
    this.selected.set(other.selected);
    this.reset.set(other.reset);
    this.parameters.copyFrom(other.parameters);
    this.sysEx.copyFrom(other.sysEx);
  }

  /** Folds one channel message. Notes change nothing here. */
  fold(status: number, data1: number, data2: number): void {
    const channel = status & 0x0f;
    switch (status & 0xf0) {
      case 0xa0:
        this.keyPressure[channel * 128 + data1] = data2;
        break;
      case 0xb0:
        this.#control(channel, data1, data2);
        break;
      case 0xc0:
        this.program[channel] = data1;
        // The bank takes effect only at the program change (MIDI 1.0, p. 13).
        this.bankMsb[channel] = this.value[channel * 128]!;
        this.bankLsb[channel] = this.value[channel * 128 + 32]!;
        break;
      case 0xd0:
        this.pressure[channel] = data1;
        break;
      case 0xe0:
        this.bend[channel] = data1 | (data2 << 7);
        break;
    }
  }

  /** Folds one SysEx by its payload row. A General MIDI reset brings everything to rest. */
  foldSysEx(payload: number): void {
    if (this.sysEx.fold(payload)) this.#rest();
  }

  /** Key of the selected parameter (see `parameterKey`), or NO_PARAMETER. A half never sent counts as 127. */
  selection(channel: number): number {
    const kind = this.selected[channel]!;
    if (kind === 0) return NO_PARAMETER;
    const msb = channel * 128 + (kind === 1 ? 101 : 99);
    const number = ((this.value[msb]! & 127) << 7) | (this.value[msb - 1]! & 127);
    return number === 0x3fff ? NO_PARAMETER : parameterKey(channel, kind === 2, number);
  }

  #control(channel: number, controller: number, value: number): void {
    const cell = channel * 128 + controller;
    this.named[cell] = 1;
    if (entersData(controller)) {
      this.#enterData(channel, controller, value);
    } else if (controller === Cc.resetAllControllers) {
      this.#resetControllers(channel);
    } else if (controller >= Cc.nrpnFine && controller <= Cc.rpn) {
      this.value[cell] = value;
      this.selected[channel] = controller >= Cc.rpnFine ? 1 : 2;
    } else if (controller >= Cc.omniOff) {
      this.value[cell] = value;
      this.value[cell ^ 1] = UNSET;
    } else if (controller !== Cc.allSoundOff && controller !== Cc.allNotesOff) {
      this.value[cell] = value;
      if (controller < 32) this.stale[channel * 32 + controller] = 1;
      else if (controller < 64) this.stale[channel * 32 + controller - 32] = 0;
    }
  }

  #enterData(channel: number, controller: number, value: number): void {
    const selection = this.selection(channel);
    if (selection === NO_PARAMETER) return;
    const { parameters } = this;
    const row = parameters.touch(selection);
    if (controller === Cc.dataEntry) {
      parameters.msb[row] = value;
      parameters.stale[row] = 1;
      parameters.steps[row] = 0;
    } else if (controller === Cc.dataEntryFine) {
      parameters.lsb[row] = value;
      parameters.stale[row] = 0;
      parameters.steps[row] = 0;
    } else {
      parameters.steps[row]! += controller === Cc.dataIncrement ? 1 : -1;
    }
  }

  #resetControllers(channel: number): void {
    for (let i = 0; i < RESET_BY_121.length; i += 1) {
      const entry = RESET_BY_121[i]!;
      this.value[channel * 128 + entry[0]] = entry[1];
    }
    this.value.fill(127, channel * 128 + Cc.nrpnFine, channel * 128 + Cc.rpn + 1);
    this.selected[channel] = 1;
    this.bend[channel] = BEND_CENTRE;
    this.pressure[channel] = 0;
    for (let cell = channel * 128; cell < channel * 128 + 128; cell += 1) {
      if (this.keyPressure[cell] !== UNSET) this.keyPressure[cell] = 0;
    }
    this.reset[channel] = 1;
  }

  #rest(): void {
    for (let channel = 0; channel < 16; channel += 1) {
      this.value.set(REST_VALUES, channel * 128);
      // Modes: poly, omni off. Reserved numbers have no value.
      this.value.fill(UNSET, channel * 128 + Cc.allSoundOff, channel * 128 + 128);
      this.selected[channel] = 1;
      this.reset[channel] = 1;
    }
    this.stale.fill(0);
    // Not every module heeds the reset: a program the song names after it is sent, also the first one.
    this.program.fill(UNSET);
    this.bankMsb.fill(0);
    this.bankLsb.fill(0);
    this.bend.fill(BEND_CENTRE);
    this.pressure.fill(0);
    this.keyPressure.fill(0);
    this.parameters.clear();
  }
}

function entersData(controller: number): boolean {
  return (
    controller === Cc.dataEntry ||
    controller === Cc.dataEntryFine ||
    controller === Cc.dataIncrement ||
    controller === Cc.dataDecrement
  );
}
