import { createSocket, type RemoteInfo, type Socket } from 'node:dgram';
import { isIPv6 } from 'node:net';
import { type RtpCounts, RtpReceiver } from '../../core/network/rtp-receiver.ts';
import { Refusal } from '../../trouble/refusal.ts';
import type { HowToListen, InputPort, InputSink } from '../input-port.ts';
import { RTP_WIRE, rtpNameOf } from './rtp-name.ts';

/**
 * `rtp:[<host>:]<port>[@ms]` as an input: packets to a port of this machine, at one address of it or all. Each message is handed on, and
 * stamped, at its own moment by the sender's clock and the time that is held. Lost is a sender that was heard and is silent.
 * @throws Refusal when the port cannot be listened at
 */
export async function openRtpInput(text: string, how: HowToListen): Promise<InputPort> {
  const name = rtpNameOf(text);
  const socket = await boundSocket(text, name.host, name.port);
  return new RtpInput(`rtp:${text}`, socket, name.playoutMicros, how);
}

class RtpInput implements InputPort {
  readonly name: string;
  readonly wire = RTP_WIRE;
  readonly paced = false;
  readonly #socket: Socket;
  readonly #how: HowToListen;
  readonly #receiver: RtpReceiver;
  #sink: InputSink | undefined;
  #timer: NodeJS.Timeout | undefined;
  #wasLost = false;
  #isClosed = false;
  #toldForeign = false;

  constructor(name: string, socket: Socket, playoutMicros: number, how: HowToListen) {
    this.name = name;
    this.#socket = socket;
    this.#how = how;
    this.#receiver = new RtpReceiver(
      {
        bytes: (bytes, micros) => this.#sink?.bytes(bytes, micros),
        begun: () => this.#begun(),
        gone: () => this.#gone(),
      },
      playoutMicros,
    );
  }

  get packets(): Readonly<RtpCounts> {
    return this.#receiver.counts;
  }

  start(sink: InputSink): void {
    this.#sink = sink;
    sink.back();
    this.#socket.on('message', (datagram, from) => this.#message(datagram, from));
    // What was sent to us is all that we hear of a network; a socket that fails for good hears nothing any more.
    this.#socket.on('error', ({ message }) =>
      sink.ended(`the network fails (${message}), so nothing more is heard`),
    );
  }

  async close(): Promise<void> {
    if (this.#isClosed) return;
    this.#isClosed = true;
    this.#tellLosses();
    clearTimeout(this.#timer);
    await new Promise<void>((resolve) => this.#socket.close(() => resolve()));
  }

  #message(datagram: Uint8Array, { address, port }: RemoteInfo): void {
    if (this.#isClosed) return;
    const { counts } = this.#receiver;
    const foreign = counts.foreign;
    this.#receiver.datagram(datagram, this.#how.clock.nowMicros());
    if (counts.foreign > foreign && !this.#toldForeign) {
      this.#toldForeign = true;
      this.#sink?.remark?.(`${address}:${port} sends as well and is not heard`);
    }
    this.#sleep();
  }

  #sleep(): void {
    clearTimeout(this.#timer);
    const wait = this.#receiver.nextMicros - this.#how.clock.nowMicros();
    if (wait === Number.POSITIVE_INFINITY || this.#isClosed) return;
    this.#timer = setTimeout(() => {
      // What has arrived is read before a silence is judged.
      setImmediate(() => {
        if (this.#isClosed) return;
        this.#receiver.run(this.#how.clock.nowMicros());
        this.#sleep();
      });
    }, wait / 1000);
  }

  #begun(): void {
    if (this.#wasLost) this.#sink?.back();
  }

  #gone(): void {
    this.#wasLost = true;
    this.#toldForeign = false;
    this.#tellLosses();
    this.#sink?.lost();
  }

  #tellLosses(): void {
    const { heard, lost, recovered, late, unreadable } = this.#receiver.counts;
    if (lost > 0)
      this.#sink?.remark?.(
        `${lost} of ${heard + lost} packets lost, ${recovered} of them recovered; ${late} came too late`,
      );
    if (unreadable > 0) this.#sink?.remark?.(`${unreadable} datagrams were no MIDI`);
  }
}

async function boundSocket(text: string, host: string | undefined, port: number): Promise<Socket> {
  const socket = createSocket(host !== undefined && isIPv6(host) ? 'udp6' : 'udp4');
  try {
    await new Promise<void>((resolve, reject) => {
      socket.once('error', reject);
      socket.bind(port, host, () => {
        socket.off('error', reject);
        resolve();
      });
    });
    return socket;
  } catch (error) {
    socket.close();
    const code = (error as NodeJS.ErrnoException).code ?? 'EIO';
    const [what, nextStep] = REASONS[code] ?? [`the system says ${code}`, 'look at the network'];
    throw new Refusal(what, `rtp:${text}`, nextStep);
  }
}

const NOT_OURS = ['this machine has no such address', 'write rtp:<port> to listen at all of them'] as const;
const REASONS: Readonly<Record<string, readonly [what: string, nextStep: string]>> = {
  EADDRINUSE: [
    'another program listens at this port',
    'close that program, or use another port at both ends',
  ],
  EADDRNOTAVAIL: NOT_OURS,
  ENOTFOUND: NOT_OURS,
  EAI_AGAIN: NOT_OURS,
  EACCES: ['this port is the system’s own', 'use one from 1024 on at both ends'],
};
