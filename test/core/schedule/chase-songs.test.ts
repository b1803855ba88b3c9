import { describe, expect, test } from 'vitest';
import { readSong } from '../../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../../src/core/timeline/build-timeline.ts';
import type { TimelineColumns } from '../../../src/core/timeline/timeline.ts';
import { fileOrderPlan } from '../../../src/core/wire/file-order-plan.ts';
import { packedPlan } from '../../../src/core/wire/packed-plan.ts';
import type { SendPlan } from '../../../src/core/wire/send-plan.ts';
import { MIDI_WIRE } from '../../../src/core/wire/wire-traits.ts';
import { differences } from '../../support/channel-rest.ts';
import { DEBIAN_SONGS, debianSongs, npmSongs, type PackageSong } from '../../support/package-songs.ts';
import { VirtualRun } from '../../support/virtual-run.ts';
import { WireReader } from '../../support/wire-reader.ts';

/** Bytes of one row as a receiver that lets universal SysEx pass would get them. */
function bytesOf(columns: TimelineColumns, row: number): number[] {
  const status = columns.status[row]!;
  if (status >= 0xf0) {
    const start = columns.payloadStart[columns.payload[row]!]!;
    const bytes = [
      ...columns.payloadBytes.subarray(start, start + columns.payloadLength[columns.payload[row]!]!),
    ];
    const universal = status === 0xf0 && (bytes[0] === 0x7e || bytes[0] === 0x7f) && bytes.at(-1) === 0xf7;
    return universal ? [0xf0, ...bytes] : [];
  }
  const short = (status & 0xe0) === 0xc0;
  return short ? [status, columns.data1[row]!] : [status, columns.data1[row]!, columns.data2[row]!];
}

interface Wanted {
  readonly said: ReadonlyMap<string, number>;
  readonly wasReset: boolean;
}

/** Plays a song from the start without any scheduler: what a receiver holds at each of these song times. */
function readUntil(plan: SendPlan, times: readonly number[]): Map<number, Wanted> {
  const reader = new WireReader();
  const held = new Map<number, Wanted>();
  let row = 0;
  for (const micros of times.toSorted((a, b) => a - b)) {
    for (; row < plan.count && plan.releaseMicros[row]! < micros; row += 1)
      reader.read(bytesOf(plan.columns, plan.event[row]!));
    held.set(micros, { said: new Map(reader.said), wasReset: reader.wasReset });
  }
  return held;
}

/** `channel` is heard from its first note; what was first said before that need not be restored. */
function unheardIn(plan: SendPlan): (what: string) => boolean {
  const reader = new WireReader();
  const unheard = new Set<string>();
  let known = 0;
  const struck = new Set<number>();
  for (let row = 0; row < plan.count; row += 1) {
    reader.read(bytesOf(plan.columns, plan.event[row]!));
    for (const note of reader.noteOns.splice(0)) struck.add(note.channel);
    if (reader.said.size === known) continue;
    known = reader.said.size;
    for (const what of reader.said.keys()) if (!struck.has(Number(what.split(':')[0]))) unheard.add(what);
  }
  return (what) => unheard.has(what);
}

/** Places to jump to, back and forth, by a fixed rule (Weyl’s sequence), so that a failure can be repeated. */
const placesFrom = (first: number, count: number) =>
  Array.from({ length: count }, (_, i) => ((first + i + 1) * 0.6180339887498949) % 1);

const PLANS: readonly ((columns: TimelineColumns) => SendPlan)[] = [
  fileOrderPlan,
  (columns) => packedPlan(columns, MIDI_WIRE),
];

function checkSong(
  { bytes }: PackageSong,
  plans: readonly ((columns: TimelineColumns) => SendPlan)[],
  places: readonly number[],
): void {
  const timeline = buildTimeline(readSong(bytes));
  const { columns, durationMicros } = timeline;
  for (const planOf of plans) {
    const plan = planOf(columns);
    const run = new VirtualRun(plan, { durationMicros });
    const receiver = new WireReader();
    const drain = () => receiver.read(run.outlet.sent.splice(0).flatMap((sent) => sent.bytes));
    const unheard = unheardIn(plan);
    run.send({ kind: 'play' }).to(durationMicros / 10);
    const targets = places.map((place) => Math.round(place * durationMicros));
    const wanted = readUntil(plan, targets);
    for (const target of targets) {
      drain();
      run.send({ kind: 'seek', micros: target }).send({ kind: 'pause' });
      drain();
      run.send({ kind: 'play' });
      while (run.outlet.sent.length === 0 || run.outlet.sent.every((sent) => sent.song < 0)) {
        const before = run.now;
        run.to(run.scheduler.times[1]!);
        if (run.scheduler.finished || run.now === before) break;
      }
      const music = run.outlet.sent.findIndex((sent) => sent.song >= 0);
      const chase = run.outlet.sent.splice(0, music < 0 ? Infinity : music);
      if (music < 0) continue; // the end came before anything else, and with it silence
      receiver.read(chase.flatMap((sent) => sent.bytes));
      expect(differences(wanted.get(target)!, receiver, unheard)).toEqual([]);
      run.to(run.now + 700_000);
    }
    run.send({ kind: 'quit' });
    drain();
    expect([receiver.sounding, receiver.unrestful, receiver.faults]).toEqual([0, [], []]);
  }
}

describe('any seek reaches the state that playing from the start gives', () => {
  test.each(npmSongs())('$name', (song) => checkSong(song, PLANS, placesFrom(0, 12)));
  // Many songs: four places of their own in each, and the two plans in turn.
  test.skipIf(DEBIAN_SONGS === undefined)('WIREPIT_SONGS', { timeout: 300_000 }, () => {
    const songs = debianSongs();
    expect(songs.length).toBeGreaterThan(0);
    for (const [at, song] of songs.entries()) checkSong(song, [PLANS[at % 2]!], placesFrom(4 * at, 4));
  });
});
