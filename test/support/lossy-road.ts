import { RtpReceiver } from '../../src/core/network/rtp-receiver.ts';
import { RtpSender } from '../../src/core/network/rtp-sender.ts';
import { WireReader } from './wire-reader.ts';

export interface Sent {
  readonly message: Uint8Array;
  readonly micros: number;
}

/** What the network does to a packet: the moments (µs after it was sent) at which copies of it arrive. */
export type Fate = readonly number[];

export const PLAYOUT_MICROS = 5000;
const GUARD_MICROS = 50_000;

/** A sender, a network and a receiver on one invented clock. Both ends are judged by `WireReader`, from the bytes. */
export function travel(
  sent: readonly Sent[],
  fateOf: (packet: number) => Fate,
  options: {
    readonly each?: number;
    readonly guards?: number;
    readonly start?: number;
    /** Empty packets while there are no messages, as a port of ours sends them (`RtpTransmitter`). */
    readonly isGuarded?: boolean;
  } = {},
) {
  const { each = 3, guards = 3, start = 65_530, isGuarded = false } = options;
  const sender = new RtpSender({ sequence: start, timestamp: 0xffff_ff00, source: 77 });
  const far = new WireReader();
  const near = new WireReader();
  const heard: number[] = [];
  const times: number[] = [];
  const events: string[] = [];
  const sink = {
    bytes(bytes: Uint8Array, micros: number) {
      heard.push(...bytes);
      times.push(micros);
      far.read(bytes);
    },
    begun: () => events.push('begun'),
    gone: () => events.push('gone'),
  };
  const receiver = new RtpReceiver(sink, PLAYOUT_MICROS);
  const arrivals: { at: number; packet: Uint8Array }[] = [];
  const send = (now: number): void => {
    const fate = fateOf(sender.packets);
    const packet = sender.packet(now);
    for (const delay of fate) arrivals.push({ at: now + delay, packet });
  };
  let now = 0;
  const guardUntil = (micros: number): void => {
    let wait = 10_000;
    if (sender.hasCommands && now + wait < micros) send(now);
    for (let at = now + wait; at < micros; at += wait) {
      send(at);
      wait = Math.min(2 * wait, 100_000);
    }
  };
  sent.forEach(({ message, micros }, index) => {
    if (isGuarded) guardUntil(micros);
    now = micros;
    near.read(message);
    sender.add(message, micros);
    if (index % each === each - 1 || sender.isFull) send(now);
  });
  if (sender.hasCommands) send(now);
  for (let guard = 0; guard < guards; guard += 1) {
    now += GUARD_MICROS;
    send(now);
  }
  arrivals.sort((a, b) => a.at - b.at);
  const runTo = (micros: number): void => {
    while (receiver.nextMicros <= micros) receiver.run(receiver.nextMicros);
  };
  for (const { at, packet } of arrivals) {
    runTo(at);
    receiver.datagram(packet, at);
  }
  return { sender, receiver, near, far, heard, times, events, arrivals, now, runTo };
}
