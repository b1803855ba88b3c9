import { createSocket, type Socket } from 'node:dgram';
import { once } from 'node:events';
import type { AddressInfo } from 'node:net';
import { networkInterfaces } from 'node:os';
import { RtpReceiver } from '../../src/core/network/rtp-receiver.ts';
import { RtpSender } from '../../src/core/network/rtp-sender.ts';
import { until } from './pty-pair.ts';

async function bound(port = 0): Promise<Socket> {
  const socket = createSocket('udp4');
  socket.bind(port, '127.0.0.1');
  await once(socket, 'listening');
  return socket;
}

const portOf = (socket: Socket): number => (socket.address() as AddressInfo).port;

/** This machine can talk to itself by the other kind of address as well. */
export const hasIpv6 = Object.values(networkInterfaces()).some((all) =>
  all!.some(({ address }) => address === '::1'),
);

/** A UDP port of this machine at which nobody listens. */
export async function freePort(): Promise<number> {
  const socket = await bound();
  const port = portOf(socket);
  socket.close();
  await once(socket, 'close');
  return port;
}

/** The far end of an RTP output: a socket on this machine that hears every packet, or those that `passes` lets through. */
export class FarBoard {
  readonly port: number;
  readonly packets: Uint8Array[] = [];
  readonly #heard: number[] = [];
  readonly #socket: Socket;
  readonly receiver = new RtpReceiver(
    { bytes: (bytes) => this.#heard.push(...bytes), begun: () => {}, gone: () => {} },
    0,
  );

  constructor(socket: Socket, passes: (packet: number) => boolean) {
    this.#socket = socket;
    this.port = portOf(socket);
    socket.on('message', (packet) => {
      this.packets.push(packet);
      if (passes(this.packets.length - 1)) this.receiver.datagram(packet, performance.now() * 1000);
      this.receiver.run(performance.now() * 1000 + 10_000);
    });
  }

  static async listening(passes: (packet: number) => boolean = () => true, port = 0): Promise<FarBoard> {
    return new FarBoard(await bound(port), passes);
  }

  get heard(): Uint8Array {
    return Uint8Array.from(this.#heard);
  }

  readonly received = async (count: number): Promise<Uint8Array> => {
    await until(() => this.#heard.length >= count, `${count} bytes over the network`);
    return this.heard;
  };

  close(): void {
    this.#socket.close();
  }
}

/** Sends packets of ours to a port of this machine, one for each call. */
export class NearBoard {
  readonly #socket = createSocket('udp4');
  readonly #port: number;
  readonly #sender: RtpSender;

  constructor(port: number, source = 77) {
    this.#port = port;
    this.#sender = new RtpSender({ sequence: 1, timestamp: 0, source });
  }

  /** No bytes: a guard packet. */
  async send(...messages: readonly Uint8Array[]): Promise<void> {
    const now = performance.now() * 1000;
    for (const message of messages) this.#sender.add(message, now);
    await this.sendDatagram(this.#sender.packet(now));
  }

  /** A packet that is lost on the way. */
  lose(...messages: readonly Uint8Array[]): void {
    const now = performance.now() * 1000;
    for (const message of messages) this.#sender.add(message, now);
    this.#sender.packet(now);
  }

  async sendDatagram(bytes: Uint8Array): Promise<void> {
    await new Promise((resolve) => this.#socket.send(bytes, this.#port, '127.0.0.1', resolve));
  }

  close(): void {
    this.#socket.close();
  }
}
