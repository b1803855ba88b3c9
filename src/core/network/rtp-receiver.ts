import { Cc } from '../midi/controllers.ts';
import { isRealTime } from '../midi/status.ts';
import { UNSET } from '../schedule/rest-values.ts';
import { Mender } from './mend.ts';
import { JournalReader } from './read-journal.ts';
import { type RtpPacket, readRtpPacket } from './rtp-packet.ts';
import { StreamMemory } from './stream-memory.ts';
import { microsOfTicks, Transit } from './transit.ts';

/** Where a receiver puts what it reads. */
export interface RtpSink {
  /** Bytes of MIDI as they would be on a wire: a whole message, or a piece of SysEx. Times never go back. */
  bytes(bytes: Uint8Array, micros: number): void;
  /** A sender is heard, the first one or another. */
  begun(): void;
  /** The sender has not been heard for `SILENCE_MICROS`. What it left sounding was ended before. */
  gone(): void;
}

/** Packets since the start, by what became of them. */
export interface RtpCounts {
  /** In their place, lost ones not among them. */
  heard: number;
  lost: number;
  /** Of the lost ones, those whose content the journal of the next one told again. */
  recovered: number;
  /** Came behind one that was sent later, and were heard in their place all the same. */
  reordered: number;
  /** Behind their moment, or a second time. */
  late: number;
  /** From another sender while one is heard. */
  foreign: number;
  /** No RTP packets with MIDI, as far as we can read. */
  unreadable: number;
  /** Messages that a journal told and no packet: what was done about the lost ones. */
  mended: number;
}

interface Waiting {
  readonly packet: RtpPacket;
  /** Sequence number, counted on without wrapping. */
  readonly place: number;
  readonly senderMicros: number;
  readonly arrivedMicros: number;
  /** Commands handed on. */
  done: number;
}

/** Our senders send at least every 100 ms. */
export const SILENCE_MICROS = 1_000_000;
/** A sequence number that far off is of another stream, or invented. */
const MOST_AHEAD = 3000;
/** A command whose moment is later than that is not waited for. */
const LONGEST_AHEAD_MICROS = 1_000_000;
const PEDALS = [Cc.damper, Cc.sostenuto, Cc.hold2];

/**
 * RTP packets → MIDI bytes: in order, each at its own moment and `playoutMicros`, mended by the journal where some
 * are lost. One sender at a time is heard, told by its source number; another is heard once that one is silent.
 * Nothing happens by itself: `run` is to be called at `nextMicros`.
 */
export class RtpReceiver {
  readonly counts: RtpCounts = {
    heard: 0,
    lost: 0,
    recovered: 0,
    reordered: 0,
    late: 0,
    foreign: 0,
    unreadable: 0,
    mended: 0,
  };
  readonly #sink: RtpSink;
  readonly #playoutMicros: number;
  readonly #memory = new StreamMemory();
  readonly #journals = new JournalReader();
  readonly #mender = new Mender(this.#memory);
  readonly #waiting: Waiting[] = [];
  #transit = new Transit();
  #source: number | undefined;
  /** The packet that is to be heard next; before the first of a sender's, the earliest that came. */
  #next = 0;
  #isFirstToCome = true;
  #heardMicros = 0;
  #handedMicros = Number.NEGATIVE_INFINITY;
  #isSysExOpen = false;

  constructor(sink: RtpSink, playoutMicros: number) {
    this.#sink = sink;
    this.#playoutMicros = playoutMicros;
  }

  datagram(datagram: Uint8Array, arrivedMicros: number): void {
    const packet = readRtpPacket(datagram, this.#journals);
    this.run(arrivedMicros);
    if (packet === undefined) this.counts.unreadable += 1;
    else if (this.#source === undefined) this.#begin(packet, arrivedMicros);
    else if (packet.source === this.#source) this.#wait(packet, arrivedMicros);
    else this.counts.foreign += 1;
    this.run(arrivedMicros);
  }

  /** Run time at which `run` has something to do; infinite while nobody is heard. */
  get nextMicros(): number {
    if (this.#source === undefined) return Number.POSITIVE_INFINITY;
    const head = this.#waiting[0];
    const silent = this.#heardMicros + SILENCE_MICROS;
    return head === undefined ? silent : Math.min(silent, this.#dueOf(head));
  }

  /** Hands on what is due, and ends what sounds where the sender has been silent for too long. */
  run(nowMicros: number): void {
    for (
      let head = this.#waiting[0];
      head !== undefined && this.#dueOf(head) <= nowMicros;
      head = this.#waiting[0]
    )
      this.#play(head);
    if (this.#source !== undefined && nowMicros - this.#heardMicros >= SILENCE_MICROS) this.#end(nowMicros);
  }

  #begin(packet: RtpPacket, arrivedMicros: number): void {
    this.#source = packet.source;
    this.#next = packet.sequence;
    this.#isFirstToCome = true;
    this.#transit = new Transit();
    this.#sink.begun();
    this.#wait(packet, arrivedMicros);
  }

  #wait(packet: RtpPacket, arrivedMicros: number): void {
    const ahead = ((packet.sequence - this.#next) << 16) >> 16;
    if (ahead > MOST_AHEAD || ahead < -MOST_AHEAD) {
      this.counts.unreadable += 1;
      return;
    }
    this.#heardMicros = arrivedMicros;
    const place = this.#next + ahead;
    const behind = this.#waiting.findIndex((each) => each.place >= place);
    if (ahead < 0 && this.#isFirstToCome) this.#next = place;
    if (place < this.#next || (behind >= 0 && this.#waiting[behind]!.place === place)) {
      this.counts.late += 1;
      return;
    }
    if (behind >= 0) this.counts.reordered += 1;
    const senderMicros = this.#transit.heard(packet.timestamp, arrivedMicros);
    const waiting = { packet, place, senderMicros, arrivedMicros, done: 0 };
    this.#waiting.splice(behind < 0 ? this.#waiting.length : behind, 0, waiting);
  }

  /** When the next command of a packet is due, or the packet itself where it has none left. */
  #dueOf({ packet, senderMicros, arrivedMicros, done }: Waiting): number {
    const ticks = packet.commands[done]?.ticks ?? 0;
    const due = this.#transit.toRunTime(senderMicros + microsOfTicks(ticks)) + this.#playoutMicros;
    return Math.min(due, arrivedMicros + this.#playoutMicros + LONGEST_AHEAD_MICROS);
  }

  /** Plays one command of the first packet that waits; before its first one, what was lost is mended. */
  #play(head: Waiting): void {
    const { packet, place } = head;
    const due = this.#dueOf(head);
    if (head.done === 0) this.#arrive(packet, place, due);
    const command = packet.commands[head.done];
    if (command !== undefined) this.#command(command.bytes, due);
    head.done += 1;
    if (head.done < packet.commands.length) return;
    this.#waiting.shift();
  }

  #arrive(packet: RtpPacket, place: number, due: number): void {
    const lost = place - this.#next;
    // The rest of a SysEx may have been among them: a status byte ends what was begun.
    if (lost > 0) this.#isSysExOpen = false;
    this.counts.lost += lost;
    this.counts.heard += 1;
    if (packet.journal !== undefined) this.counts.recovered += lost;
    this.#next = place + 1;
    if (packet.journal !== undefined && this.#isFirstToCome) this.#mender.adoptCounts(packet.journal);
    this.#isFirstToCome = false;
    if (packet.journal !== undefined)
      this.#mender.mend(packet.journal, (command) => {
        this.counts.mended += 1;
        this.#hand(command, due);
      });
  }

  #command(bytes: Uint8Array, due: number): void {
    const first = bytes[0]!;
    const last = bytes[bytes.length - 1]!;
    if (first !== 0xf0 && first !== 0xf7) {
      if (!isRealTime(first)) this.#isSysExOpen = false;
      this.#hand(bytes, due);
      return;
    }
    const isHead = first === 0xf0;
    // Without its beginning a piece means nothing; what was taken back is not completed.
    if (!isHead && !this.#isSysExOpen) return;
    this.#isSysExOpen = last === 0xf0;
    const isWhole = last === 0xf7;
    const piece = bytes.subarray(isHead ? 0 : 1, isWhole ? bytes.length : bytes.length - 1);
    if (piece.length > 0) this.#hand(piece, due);
  }

  #hand(bytes: Uint8Array, due: number): void {
    this.#handedMicros = Math.max(this.#handedMicros, due);
    if (bytes[0]! >= 0x80) this.#memory.fold(bytes, this.#handedMicros);
    this.#sink.bytes(bytes, this.#handedMicros);
  }

  #end(nowMicros: number): void {
    this.#source = undefined;
    this.#waiting.length = 0;
    this.#isSysExOpen = false;
    const { strikes, held } = this.#memory;
    for (let cell = 0; cell < 2048; cell += 1) {
      const [channel, key] = [cell >> 7, cell & 127];
      for (let count = strikes[cell]!; count > 0; count -= 1)
        this.#hand(Uint8Array.of(0x80 | channel, key, RELEASE_VELOCITY), nowMicros);
    }
    for (let channel = 0; channel < 16; channel += 1) {
      for (const pedal of PEDALS) {
        const value = held.value[channel * 128 + pedal]!;
        if (value !== 0 && value !== UNSET) this.#hand(Uint8Array.of(0xb0 | channel, pedal, 0), nowMicros);
      }
    }
    this.#sink.gone();
  }
}

const RELEASE_VELOCITY = 64;
