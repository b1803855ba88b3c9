/**
 * MIDI over RTP. Real songs on a virtual clock through a network that loses packets, judged from the bytes on both
 * sides; the size of packets; and on the real clock through this machine's own network, how long a message takes and how
 * true its stamp is.
 */
import { join } from 'node:path';
import { quantile } from '../../src/core/compare/robust-line.ts';
import { readSong } from '../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';
import { packedPlan } from '../../src/core/wire/packed-plan.ts';
import { MIDI_WIRE } from '../../src/core/wire/wire-traits.ts';
import { keepOutput } from '../../src/ports/keep-output.ts';
import { openInput } from '../../src/ports/open-input.ts';
import { openOutput } from '../../src/ports/open-output.ts';
import { freePort } from '../support/far-board.ts';
import { type Sent, travel } from '../support/lossy-road.ts';
import { debianSongs, npmSongs, type PackageSong, songsIn } from '../support/package-songs.ts';
import { ROOT } from '../support/run-wirepit.ts';
import { seeded } from '../support/seeded.ts';
import { VirtualRun } from '../support/virtual-run.ts';
import { recordBench } from './bench-record.ts';
import { printGoals } from './goal-line.ts';
import { printTable } from './print-table.ts';

const LOSSES = [0, 0.05, 0.2, 0.5];
const PIECE_BYTES = 32;
const MESSAGES_A_PACKET = 2;
const WRITES = 200;
/** Of each song: the rest says nothing new. */
const MOST_MESSAGES = 2000;

export async function run(): Promise<void> {
  const songs = [...songsIn('', join(ROOT, 'songs')), ...npmSongs(), ...debianSongs()];
  const asked = process.env.WIREPIT_BENCH_QUICK === '1' ? songs.slice(0, 5) : songs;
  const streams = asked.map(sentOf);
  const rows = LOSSES.map((loss) => lossy(streams, loss));
  printTable(
    ['lost', 'packets', 'lost there', 'notes sent', 'notes heard', 'keys left down'],
    rows.map(({ loss, packets, lost, sent, heard, hanging }) => [
      `${loss * 100} %`,
      packets,
      lost,
      sent,
      `${((heard / sent) * 100).toFixed(2)} %`,
      hanging,
    ]),
  );
  const sizes = Float64Array.from(rows[0]!.sizes);
  const real = await loopback();
  process.stdout.write(
    `${asked.length} songs; a packet has ${quantile(sizes, 0.5)} bytes at the median, ${quantile(sizes, 0.99)} p99, ${quantile(sizes, 1)} at most\n`,
  );
  process.stdout.write(
    `on this machine: ${real.delay(0.5).toFixed(0)} µs from write to message, p99 ${real.delay(0.99).toFixed(0)}; stamps off p50 ${real.off(0.5).toFixed(0)} µs, p99 ${real.off(0.99).toFixed(0)}\n`,
  );
  const verdicts = printGoals([
    {
      name: 'keys left down at any loss',
      value: rows.reduce((sum, { hanging }) => sum + hanging, 0),
      atMost: 0,
    },
    { name: 'bytes other than sent, nothing lost', value: rows[0]!.changed, atMost: 0 },
    {
      name: 'notes heard at 5 % loss',
      value: (rows[1]!.heard / rows[1]!.sent) * 100,
      unit: '%',
      atLeast: 99,
    },
    { name: 'stamp off p99', value: real.off(0.99), unit: 'us', atMost: 1000 },
  ]);
  recordBench('network', {
    songs: asked.length,
    rows: rows.map(({ sizes: _, ...row }) => row),
    sizes: [0.5, 0.99, 1].map((share) => quantile(sizes, share)),
    delayMicros: [0.5, 0.99].map(real.delay),
    offMicros: [0.5, 0.99].map(real.off),
    verdicts,
  });
}

function sentOf({ bytes }: PackageSong): Sent[] {
  const { columns } = buildTimeline(readSong(bytes));
  const run = new VirtualRun(packedPlan(columns, MIDI_WIRE)).send({ kind: 'play' }).toEnd();
  return run.sent.slice(0, MOST_MESSAGES).flatMap((message) => {
    const pieces: Sent[] = [];
    for (let from = 0; from < message.bytes.length; from += PIECE_BYTES) {
      const piece = message.bytes.slice(from, from + PIECE_BYTES);
      pieces.push({ message: Uint8Array.from(piece), micros: message.now });
    }
    return pieces;
  });
}

function lossy(streams: readonly Sent[][], loss: number) {
  const chance = seeded(6295);
  const all = { loss, packets: 0, lost: 0, sent: 0, heard: 0, hanging: 0, changed: 0, sizes: [] as number[] };
  for (const stream of streams) {
    // The guard packets at the end are lost like all others; there are ten a second for as long as the sender lives.
    const fate = (packet: number) => (packet > 0 && chance() < loss ? [] : [300 + chance() * 2000]);
    const road = travel(stream, fate, { each: MESSAGES_A_PACKET, guards: 10, isGuarded: true });
    road.runTo(road.now + 100_000);
    all.packets += road.sender.packets;
    all.lost += road.receiver.counts.lost;
    all.sent += road.near.noteOns.length;
    all.heard += road.far.noteOns.length;
    for (const place of road.far.open.keys()) if (!road.near.open.has(place)) all.hanging += 1;
    if (loss > 0) continue;
    const sent = stream.flatMap(({ message }) => [...message]);
    all.changed +=
      sent.length === road.heard.length && sent.every((byte, at) => byte === road.heard[at]) ? 0 : 1;
    for (const { packet } of road.arrivals) all.sizes.push(packet.length);
  }
  return all;
}

/** Real packets, one for each message, ten milliseconds and a little apart. */
async function loopback() {
  const port = await freePort();
  const clock = { nowMicros: () => performance.now() * 1000 };
  const arrived: number[] = [];
  const stamped: number[] = [];
  const input = await openInput(`rtp:127.0.0.1:${port}@0`, { clock, waitForDevice: false, pace: 'wire' });
  input.start({
    bytes(_, micros) {
      arrived.push(clock.nowMicros());
      stamped.push(micros);
    },
    lost() {},
    back() {},
    ended() {},
  });
  const kept = await keepOutput(`rtp:127.0.0.1:${port}`, false);
  const output = await openOutput(kept.spec, { link: kept.link });
  const written: number[] = [];
  const at = new Float64Array(2);
  for (let i = 0; i < WRITES; i += 1) {
    await new Promise((resolve) => setTimeout(resolve, 10 + (i % 7)));
    at[0] = clock.nowMicros();
    written.push(at[0]);
    output.write(Uint8Array.of(0x90, 60, 1 + (i % 100)), 0, 3, at);
  }
  await new Promise((resolve) => setTimeout(resolve, 200));
  output.close();
  await kept.close();
  await input.close();
  const delays = Float64Array.from(arrived, (micros, i) => micros - written[i]!);
  // The two clocks are one here, and the first stamps stand before the shortest way is known.
  const distance = quantile(
    Float64Array.from(stamped, (micros, i) => micros - written[i]!),
    0.5,
  );
  const offs = Float64Array.from(stamped.slice(20), (micros, i) =>
    Math.abs(micros - written[20 + i]! - distance),
  );
  return {
    delay: (share: number) => quantile(delays, share),
    off: (share: number) => quantile(offs, share),
  };
}
