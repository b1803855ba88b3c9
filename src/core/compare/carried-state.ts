import type { FaultKind } from '../midi/stream-fault.ts';
import type { HeardFold } from './heard-fold.ts';
import type { HeardSink } from './heard-stream.ts';

/** More SysEx between two notes is not carried on. */
const MOST_SYSEX = 64;

/** What a recording has set, and which keys sound, at some moment: with what a part of it that begins there has to begin. */
export class CarriedState implements HeardSink {
  /** By status and controller: the last message that set it. */
  readonly #set = new Map<number, readonly [number, number, number, number]>();
  /** [2048] notes that sound, by channel · 128 + key. */
  readonly #sounding = new Uint16Array(2048);
  /** What came behind the last note: it may belong to the next. */
  readonly #sysEx: { readonly content: Uint8Array; readonly micros: number }[] = [];
  /** When the first message came; NaN: none yet. */
  #began = Number.NaN;

  message(status: number, data1: number, data2: number, micros: number): void {
    if (Number.isNaN(this.#began)) this.#began = micros;
    const kind = status & 0xf0;
    const voice = ((status & 15) << 7) | data1;
    if (kind === 0x90 && data2 > 0) {
      this.#sounding[voice] = Math.min(1000, this.#sounding[voice]! + 1);
      this.#sysEx.length = 0;
    } else if (kind === 0x80 || kind === 0x90)
      this.#sounding[voice] = Math.max(0, this.#sounding[voice]! - 1);
    else if (status < 0xf0) {
      if (kind === 0xb0 && data1 >= 120 && data1 !== 121 && data1 !== 122)
        this.#sounding.fill(0, (status & 15) << 7, ((status & 15) + 1) << 7);
      const hasNumber = kind === 0xb0 || kind === 0xa0;
      const what = (status << 7) | (hasNumber ? data1 : 0);
      // To the end of the row: what was set last is told last.
      this.#set.delete(what);
      this.#set.set(what, [status, data1, data2, micros]);
    }
  }

  /** Whether it was cut has been judged where it came. */
  sysEx(content: Uint8Array, _isCut: boolean, micros: number): void {
    if (Number.isNaN(this.#began)) this.#began = micros;
    if (this.#sysEx.length < MOST_SYSEX) this.#sysEx.push({ content: content.slice(), micros });
  }

  fault(_kind: FaultKind, _micros: number): void {}

  /** What comes next is no more of what came behind the last note. */
  forgetSysEx(): void {
    this.#sysEx.length = 0;
  }

  /** Tells it to one who begins here. */
  begin(fold: HeardFold): void {
    if (!Number.isNaN(this.#began)) fold.beganBefore(this.#began);
    for (const [status, data1, data2, micros] of this.#set.values())
      fold.message(status, data1, data2, micros);
    for (const { content, micros } of this.#sysEx) fold.sysEx(content, false, micros);
    for (let voice = 0; voice < 2048; voice += 1) {
      for (let n = this.#sounding[voice]!; n > 0; n -= 1) fold.soundsAlready(voice);
    }
  }
}
