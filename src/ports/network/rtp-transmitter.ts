import { randomBytes } from 'node:crypto';
import { createSocket, type Socket } from 'node:dgram';
import { lookup } from 'node:dns/promises';
import { hrtime } from 'node:process';
import { RtpSender } from '../../core/network/rtp-sender.ts';
import type { RtpLink } from './rtp-link.ts';

interface Pending {
  readonly bytes: Uint8Array;
  readonly dueMicros: number;
}

/**
 * The end of an RTP output that has the socket: takes messages from the link, makes packets of what is due, and tells all of it
 * again while nothing comes: after 10, 20, 40 and 80 ms, then every 100 ms, so that a last packet that was lost is mended
 * at once and a silent sender is known to live.
 */
export class RtpTransmitter {
  readonly #link: RtpLink;
  readonly #host: string;
  readonly #port: number;
  readonly #sender: RtpSender;
  readonly #originMicros = nowMicros();
  readonly #pending: Pending[] = [];
  #socket: Socket | undefined;
  #timer: NodeJS.Timeout | undefined;
  #retry: NodeJS.Timeout | undefined;
  #guardMicros = 0;
  /** Empty packets since the last one with a message. */
  #guards = 0;
  /** `written` of the ring when it was last emptied. */
  #taken = 0;
  #failure: string | undefined;
  #isClosed = false;

  constructor(link: RtpLink, host: string, port: number) {
    this.#link = link;
    this.#host = host;
    this.#port = port;
    const chance = randomBytes(10);
    this.#sender = new RtpSender({
      sequence: chance.readUInt16BE(0),
      timestamp: chance.readUInt32BE(2),
      source: chance.readUInt32BE(6),
    });
  }

  /** @returns the code of the error where the far end cannot be sent to; with `wait` it is then tried again and again */
  async open(wait: boolean): Promise<string | undefined> {
    const failure = await this.#connect();
    if (failure !== undefined && !wait) return failure;
    this.#link.isPresent = failure === undefined;
    if (failure !== undefined) this.#tryLater();
    void this.#follow();
    this.#work();
    return undefined;
  }

  /** Sends what is left, tells the last of it a few times more, then frees the socket. */
  async close(): Promise<void> {
    this.#work();
    this.#isClosed = true;
    this.#sendUpTo(Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY);
    for (let guard = 0; guard < LAST_GUARDS && this.#link.isPresent; guard += 1) {
      await pause(guard * FIRST_GUARD_MS);
      this.#transmit();
    }
    clearTimeout(this.#timer);
    clearTimeout(this.#retry);
    this.#link.isPresent = false;
    this.#link.wake();
    await pause(0); // the last datagram is handed over
    this.#socket?.close();
    this.#socket = undefined;
  }

  /** A host that refuses says so soon (ICMP, RFC 792: port unreachable); one that says nothing is taken to listen. */
  async #connect(): Promise<string | undefined> {
    this.#socket?.close();
    this.#socket = undefined;
    this.#failure = undefined;
    try {
      const { address, family } = await lookup(this.#host);
      const socket = createSocket(family === 6 ? 'udp6' : 'udp4');
      this.#socket = socket;
      socket.on('error', (error: NodeJS.ErrnoException) => this.#failed(error.code));
      await new Promise<void>((resolve, reject) => {
        // Where there is no way, it is the callback that is told (Node.js, dgram, `socket.connect`).
        socket.connect(this.#port, address, (error?: Error) => (error ? reject(error) : resolve()));
      });
    } catch (error) {
      return (error as NodeJS.ErrnoException).code ?? 'EIO';
    }
    this.#transmit();
    await pause(ANSWER_MS);
    return this.#failure;
  }

  #failed(code = 'EIO'): void {
    this.#failure = code;
    if (!this.#link.isPresent || this.#isClosed) return;
    this.#link.isPresent = false;
    this.#tryLater();
  }

  /** Not sooner: a host tells no oftener than once a second that nobody listens (Linux, icmp_ratelimit). */
  #tryLater(): void {
    this.#retry = setTimeout(async () => {
      const failure = await this.#connect();
      if (this.#isClosed) {
        this.#socket?.close();
        return;
      }
      if (failure === undefined) this.#link.isPresent = true;
      else this.#tryLater();
      this.#work();
    }, RETRY_MS);
  }

  async #follow(): Promise<void> {
    while (!this.#isClosed) {
      await this.#link.changed(this.#taken);
      this.#work();
    }
  }

  /** Sends what is due and comes back when there is more to do. */
  #work(): void {
    if (this.#isClosed) return;
    this.#take();
    const now = nowMicros();
    this.#sendUpTo(now + SOON_MICROS, now + TOGETHER_MICROS);
    if (now >= this.#guardMicros) this.#transmit();
    if (this.#pending.length === 0 && this.#guards >= SETTLING_GUARDS) this.#link.settle(this.#taken);
    clearTimeout(this.#timer);
    const next = Math.min(this.#guardMicros, this.#pending[0]?.dueMicros ?? Number.POSITIVE_INFINITY);
    this.#timer = setTimeout(() => this.#work(), Math.max(0, (next - nowMicros()) / 1000));
  }

  /** Packets of what is due by the first moment, with what is due by the second one behind it. */
  #sendUpTo(soonMicros: number, togetherMicros: number): void {
    const pending = this.#pending;
    while (pending.length > 0 && pending[0]!.dueMicros <= soonMicros) {
      while (pending.length > 0 && pending[0]!.dueMicros <= togetherMicros && !this.#sender.isFull) {
        const { bytes, dueMicros } = pending.shift()!;
        this.#sender.add(bytes, dueMicros - this.#originMicros);
      }
      this.#transmit();
    }
  }

  #take(): void {
    this.#taken = this.#link.ring.written;
    this.#link.ring.drain((_port, bytes, dueMicros) => {
      // What was written as the far end went is not told later: a silence and a chase come first.
      if (!this.#link.isPresent) return;
      for (let from = 0; from < bytes.length; from += LONGEST_PIECE)
        this.#pending.push({ bytes: bytes.slice(from, from + LONGEST_PIECE), dueMicros });
    });
    if (!this.#link.isPresent) this.#pending.length = 0;
  }

  #transmit(): void {
    this.#guards = this.#sender.hasCommands ? 0 : this.#guards + 1;
    const delay = Math.min(FIRST_GUARD_MS * 2 ** Math.min(this.#guards, 10), LONGEST_GUARD_MS);
    this.#guardMicros = nowMicros() + delay * 1000;
    try {
      this.#socket?.send(this.#sender.packet(nowMicros() - this.#originMicros), (error) => {
        if (error !== null) this.#failed((error as NodeJS.ErrnoException).code);
      });
    } catch (error) {
      this.#failed((error as NodeJS.ErrnoException).code);
    }
  }
}

function nowMicros(): number {
  return Number(hrtime.bigint()) / 1000;
}

function pause(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}

const FIRST_GUARD_MS = 10;
/** A tenth of what the far end waits before it takes a sender for dead (`SILENCE_MICROS`). */
const LONGEST_GUARD_MS = 100;
const SETTLING_GUARDS = 3;
const LAST_GUARDS = 3;
/** Only a SysEx is longer than three bytes. */
const LONGEST_PIECE = 1024;
/** A timer of Node's wakes up to a millisecond late. */
const SOON_MICROS = 500;
/** What is due so soon after goes into the same packet. */
const TOGETHER_MICROS = 2000;
const ANSWER_MS = 100;
const RETRY_MS = 1100;
