import { isRealTime } from '../midi/status.ts';
import { type ListedCommand, writeCommandSection } from './command-list.ts';
import { RTP_CLOCK_HZ, RTP_HEADER_BYTES, writeRtpHeader } from './rtp-header.ts';
import { JournalWriter } from './write-journal.ts';

/** A stream's beginnings, drawn by chance (RFC 3550, section 5.1) so that two streams are not taken for one. */
export interface RtpStart {
  readonly sequence: number;
  readonly timestamp: number;
  readonly source: number;
}

/**
 * Messages → RTP packets, each with the journal of all that went before it. An empty packet (a guard packet, RFC 4696,
 * section 4.2) carries the journal of a last one that may be lost, and says that the sender lives.
 */
export class RtpSender {
  /** Packets made so far. */
  packets = 0;
  readonly #start: RtpStart;
  readonly #journal: JournalWriter;
  #commands: ListedCommand[] = [];
  #commandBytes = 0;
  /** Ticks since the stream began: of the packet being put together, and of the latest one. */
  #ticks = 0;
  #latest = 0;
  #isSysExOpen = false;

  constructor(start: RtpStart) {
    this.#start = start;
    this.#journal = new JournalWriter(start.sequence);
  }

  /** True where there is something for `packet`. */
  get hasCommands(): boolean {
    return this.#commands.length > 0;
  }

  /** True where `add` has to wait for `packet`: an Ethernet frame has room for little more. */
  get isFull(): boolean {
    return this.#commandBytes >= FULL_BYTES;
  }

  /**
   * Takes one whole message, or a piece of SysEx (2,048 bytes at most) that begins with F0, goes on with data bytes, or ends in
   * F7.
   * @param micros when it is meant to be on the wire; the stream's own clock begins at 0
   */
  add(message: Uint8Array, micros: number): void {
    const first = message[0]!;
    if (first < 0x80 || first === 0xf7) {
      if (this.#isSysExOpen) this.#segment(message, false, micros);
    } else if (first === 0xf0) {
      this.#cancelSysEx(micros);
      this.#segment(message, true, micros);
    } else {
      if (!isRealTime(first)) this.#cancelSysEx(micros);
      this.#push(Uint8Array.from(message), micros);
    }
  }

  /** The commands so far as a packet, or a guard packet where there are none. */
  packet(nowMicros: number): Uint8Array {
    const ticks = Math.max(this.#latest, this.hasCommands ? this.#ticks : ticksOf(nowMicros));
    const commands = this.#commands.map((command) => ({
      ...command,
      ticks: Math.max(0, command.ticks - ticks),
    }));
    const section = writeCommandSection(commands);
    const journal = this.#journal.write(nowMicros);
    const packet = new Uint8Array(RTP_HEADER_BYTES + section.length + journal.length);
    const sequence = (this.#start.sequence + this.packets) & 0xffff;
    const timestamp = (this.#start.timestamp + ticks) >>> 0;
    writeRtpHeader({ marker: this.hasCommands, sequence, timestamp, source: this.#start.source }, packet);
    packet.set(section, RTP_HEADER_BYTES);
    packet.set(journal, RTP_HEADER_BYTES + section.length);
    for (const { bytes } of this.#commands) this.#journal.memory.fold(bytes, nowMicros);
    this.#latest = ticks + (commands.at(-1)?.ticks ?? 0);
    this.#commands = [];
    this.#commandBytes = 0;
    this.packets += 1;
    return packet;
  }

  #segment(piece: Uint8Array, isFirst: boolean, micros: number): void {
    const isLast = piece[piece.length - 1] === 0xf7;
    const bytes = Uint8Array.of(...(isFirst ? [] : [0xf7]), ...piece, ...(isLast ? [] : [0xf0]));
    this.#isSysExOpen = !isLast;
    this.#push(bytes, micros);
  }

  /** A status byte that is not real-time ends a SysEx that has no end: it is taken back. */
  #cancelSysEx(micros: number): void {
    if (this.#isSysExOpen) this.#push(Uint8Array.of(0xf7, 0xf4), micros);
    this.#isSysExOpen = false;
  }

  #push(bytes: Uint8Array, micros: number): void {
    const ticks = ticksOf(micros);
    if (!this.hasCommands) this.#ticks = ticks;
    this.#commands.push({ ticks, bytes });
    this.#commandBytes += bytes.length + 2;
  }
}

function ticksOf(micros: number): number {
  return Math.round((micros * RTP_CLOCK_HZ) / 1_000_000);
}

/** With a journal of ordinary size a packet then still fits a frame of 1,500 bytes. */
const FULL_BYTES = 512;
