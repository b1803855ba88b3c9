import type { TimedChunk } from '../../src/core/capture/byte-dump.ts';
import type { Timeline } from '../../src/core/timeline/timeline.ts';
import { seeded } from './seeded.ts';

/**
 * Invented home-built players, each with its own fault: what their programmers got wrong, played through a wire of
 * 320 µs a byte into a receiver with half a millisecond of jitter. Shares nothing with the code that judges them.
 */
export const PLAYER_FAULTS = [
  'none',
  'no-timing',
  'tempo-ignored',
  'clock-rate',
  'bytes-lost',
  'running-status-over-sysex',
  'running-status-across-tracks',
  'velocity-zero',
  'tracks-in-turn',
  'timer-tick',
  'slow-chords',
  'slow-adds-up',
  'file-running-status',
  'sysex-unended',
] as const;
export type PlayerFault = (typeof PLAYER_FAULTS)[number];

export interface PlayedRecording {
  readonly chunks: readonly TimedChunk[];
  /** Parts per million by which its clock is slow (positive: everything takes longer). */
  readonly ppm: number;
  /** Whether any of the faults could show at all in this song, and which of them. */
  readonly shows: boolean;
  readonly showing: ReadonlySet<PlayerFault>;
  /** When it first made a difference: another byte, or ten milliseconds; infinity for never. */
  readonly differsFromMicros: number;
  /**
   * When whoever knows the song and not when it was begun could first tell: a byte is another one; or a note or release of a
   * later moment than the first note's does not come, and something else does; or a note sounds for which a setting did not come, and
   * the notes so far are those of no later place, where nobody heard it; or of the notes struck so far two are farther from one
   * another than written, by more than `LATE_MICROS` and than a full wire excuses; or, of twelve moments and more, so many that they
   * are not only the outermost tenth by half of that. Not before four notes have come as they are written, at two moments: with fewer nobody knows
   * where in the song they are. Infinity for never.
   */
  readonly tellableFromMicros: number;
  /** Timeline rows of the note-ons that arrived as they are written. */
  readonly arrived: ReadonlySet<number>;
}

interface Event {
  readonly tick: number;
  readonly micros: number;
  readonly track: number;
  readonly bytes: readonly number[];
  readonly row: number;
  /** The file leaves this status byte out (as a file written with running status does). */
  readonly leftOut: boolean;
}

const BYTE = 320;

/** As `--within` has it where nobody says anything else. */
const LATE_MICROS = 20_000;
/** Moments through which a line can be laid that says anything. */
const FEWEST_MOMENTS = 12;
/** What is so late is not late but missing; and notes of one moment come no farther apart. */
const MISSING_MICROS = 400_000;
const MOMENT_MICROS = 50_000;
/** Of the moments so many may stray for any reason. */
const STRAYS = 0.1;
/** Notes by which it is known where in the song they are. */
const KNOWN_BY_NOTES = 4;

/** Sees when notes have been struck at moments that no beginning explains. */
class Unevenness {
  /** By moment: how late its earliest note is, and its latest. */
  readonly #least = new Map<number, number>();
  readonly #most = new Map<number, number>();

  #isTold = false;
  #earliest = Number.POSITIVE_INFINITY;
  #latest = Number.NEGATIVE_INFINITY;

  /**
   * @param offMicros how late the note is, of an unknown beginning
   * @param waitMicros so late it is on a sound player's wire: who is as late is no later, and who comes as written is not early
   * @returns whether it can be told now
   */
  note(tick: number, offMicros: number, waitMicros: number): boolean {
    if (this.#isTold) return true;
    const late = offMicros - waitMicros;
    this.#least.set(tick, Math.min(this.#least.get(tick) ?? Number.POSITIVE_INFINITY, offMicros));
    this.#most.set(tick, Math.max(this.#most.get(tick) ?? Number.NEGATIVE_INFINITY, late));
    this.#earliest = Math.min(this.#earliest, offMicros);
    this.#latest = Math.max(this.#latest, late);
    // All are that close together: nothing to be sorted.
    if (this.#latest - this.#earliest <= LATE_MICROS / 2) return false;
    const least = [...this.#least.values()].sort((a, b) => a - b);
    const most = [...this.#most.values()].sort((a, b) => b - a);
    const strays = Math.floor(least.length * STRAYS);
    this.#isTold =
      most[0]! - least[0]! > LATE_MICROS ||
      (least.length >= FEWEST_MOMENTS && most[strays]! - least[strays]! > LATE_MICROS / 2);
    return this.#isTold;
  }
}

export function playHomeBuilt(
  timeline: Timeline,
  faults: readonly PlayerFault[],
  seed: number,
): PlayedRecording {
  const chance = seeded(seed);
  const has = (fault: PlayerFault) => faults.includes(fault);
  const events = eventsOf(timeline);
  const showing = new Set<PlayerFault>();
  const shows = (fault: PlayerFault, does: boolean) => does && showing.add(fault);
  // --- what is sent, in which order
  let list = events;
  if (has('tracks-in-turn')) {
    const tracks = [...new Set(events.map(({ track }) => track))].sort((a, b) => a - b);
    const withNotes = new Set(
      events.filter(({ bytes }) => (bytes[0]! & 0xf0) === 0x90).map(({ track }) => track),
    );
    list = tracks.flatMap((track) => events.filter((event) => event.track === track));
    shows('tracks-in-turn', withNotes.size > 1);
  }
  if (has('velocity-zero')) {
    const kept = list.filter(({ bytes }) => !((bytes[0]! & 0xf0) === 0x90 && bytes[2] === 0));
    shows('velocity-zero', kept.length < list.length);
    list = kept;
  }
  if (has('file-running-status')) {
    const kept = list.filter(({ leftOut }) => !leftOut);
    const hasNotes = kept.some(({ bytes }) => (bytes[0]! & 0xf0) === 0x90);
    shows('file-running-status', hasNotes && kept.length < 0.98 * list.length);
    list = kept;
  }
  if (has('running-status-across-tracks')) {
    let last = 0;
    let wrong = 0;
    list = list.map((event) => {
      const status = event.bytes[0]!;
      if (status >= 0xf0) return event;
      if (!event.leftOut || last === status || last === 0) {
        if (!event.leftOut) last = status;
        return event;
      }
      wrong += 1;
      const length = (last & 0xe0) === 0xc0 ? 2 : 3;
      return { ...event, bytes: [last, ...event.bytes.slice(1), 0].slice(0, length) };
    });
    shows('running-status-across-tracks', wrong > 5);
  }
  // --- when
  const stretches = timeline.tempoMap.stretches;
  const first = stretches[0]!.microsPerQuarter;
  const ppm =
    (has('clock-rate') ? (faults.length > 1 ? -3000 : chance() < 0.5 ? 5000 : -5000) : 0) +
    (chance() - 0.5) * 80;
  for (const always of ['clock-rate', 'no-timing'] as const) shows(always, has(always));
  if (has('tempo-ignored'))
    shows(
      'tempo-ignored',
      stretches.slice(1).some(({ tick }) => tick < timeline.endTick),
    );
  let trackShift = 0;
  let trackNow = -1;
  let trackEnd = 0;
  const due = list.map((event) => {
    let at = has('tempo-ignored') ? (event.tick * first) / timeline.ticksPerQuarter : event.micros;
    if (has('tracks-in-turn')) {
      if (event.track !== trackNow) {
        trackShift = trackEnd;
        trackNow = event.track;
      }
      at += trackShift;
      trackEnd = Math.max(trackEnd, at);
    }
    return has('no-timing') ? 0 : at * (1 + ppm / 1e6);
  });
  const tick = 20_000;
  const start = 200_000 + chance() * 7_800_000;
  const phase = chance() * tick;
  // --- bytes on the wire
  const withRunning = chance() < 0.6 || has('running-status-over-sysex');
  const chunks: TimedChunk[] = [];
  let free = 0;
  let processor = 0;
  let running = 0;
  let countdown = nextLoss(chance);
  const wire: { byte: number; event: number }[] = [];
  const sound = soundBegins(events, withRunning);
  let differsFrom = firstLeftOut(events, list, sound);
  let tellableFrom = Number.POSITIVE_INFINITY;
  const begins = new Map<number, number>();
  const uneven = new Unevenness();
  const whole: { tick: number; begin: number }[] = [];
  let cutSysEx = false;
  let afterSysEx = 0;
  for (const [n, event] of list.entries()) {
    let at = due[n]!;
    if (has('timer-tick')) at = Math.ceil((at - phase) / tick) * tick + phase;
    if (has('slow-chords')) processor = Math.max(processor, at) + 2500;
    else if (has('slow-adds-up')) processor = Math.max(processor + 1, at + n * 700);
    else processor = at;
    const status = event.bytes[0]!;
    let bytes = [...event.bytes];
    if (status < 0xf0) {
      if (withRunning && running === status) {
        bytes = bytes.slice(1);
        if (has('running-status-over-sysex') && afterSysEx > 0) {
          shows('running-status-over-sysex', (status & 0xf0) === 0x90);
        }
      } else afterSysEx = 0;
      running = status;
      if (status < 0xf0 && cutSysEx) cutSysEx = false;
    } else {
      // What it has forgotten: SysEx cancels running status (MIDI 1.0, p. A-2).
      if (has('running-status-over-sysex')) afterSysEx = 1;
      else running = 0;
      if (has('sysex-unended') && bytes.at(-1) === 0xf7) {
        bytes.pop();
        cutSysEx = true;
        shows('sysex-unended', true);
      }
    }
    if (has('bytes-lost')) {
      bytes = bytes.filter(() => {
        countdown -= 1;
        if (countdown > 0) return true;
        countdown = nextLoss(chance);
        // In a very short song none may be lost.
        shows('bytes-lost', true);
        return false;
      });
    }
    for (const byte of bytes) wire.push({ byte, event: n });
    const begin = Math.max(free, processor);
    free = begin + bytes.length * BYTE;
    if (bytes.length > 0) begins.set(event.row, begin);
    // In another order another status byte may be left out, and it is the same message.
    const isOther = !has('tracks-in-turn') && bytes.join() !== sound.bytes.get(event.row);
    if (isOther || Math.abs(begin - sound.begin.get(event.row)!) > 10_000)
      differsFrom = Math.min(differsFrom, isOther ? begin : Math.min(begin, sound.begin.get(event.row)!));
    const isStrike = (status & 0xf0) === 0x90 && event.bytes[2]! > 0;
    if (isStrike && !isOther) whole.push({ tick: event.tick, begin });
    const lateMicros = begin - sound.begin.get(event.row)!;
    const waitMicros = sound.begin.get(event.row)! - event.micros;
    const isLate =
      isStrike && lateMicros < MISSING_MICROS && uneven.note(event.tick, lateMicros + waitMicros, waitMicros);
    if (isOther || isLate)
      tellableFrom = Math.min(tellableFrom, begin, sound.begin.get(event.row)! + (isOther ? 0 : LATE_MICROS));
    if (bytes.length > 0) {
      const jitter = (chance() - 0.5) * 2 * 450;
      chunks.push({ micros: start + begin + jitter, bytes: Uint8Array.from(bytes) });
    }
  }
  tellableFrom = Math.min(tellableFrom, firstMissed(events, begins, sound));
  if (has('timer-tick')) shows('timer-tick', isOffGrid(list, due, tick, phase));
  if (has('slow-chords')) shows('slow-chords', hasChords(due));
  if (has('slow-adds-up')) shows('slow-adds-up', list.length > 200);
  // Times as a receiver writes them never go back.
  for (let n = 1; n < chunks.length; n++) {
    if (chunks[n]!.micros < chunks[n - 1]!.micros)
      chunks[n] = { ...chunks[n]!, micros: chunks[n - 1]!.micros };
  }
  return {
    chunks,
    ppm: has('no-timing') ? 0 : ppm,
    shows: faults.length === 0 || has('none') || showing.size > 0,
    showing,
    differsFromMicros: start + differsFrom,
    tellableFromMicros: start + Math.max(tellableFrom, knownFrom(whole)),
    arrived: arrivedOf(wire, list, events),
  };
}

interface Sound {
  readonly begin: ReadonlyMap<number, number>;
  readonly bytes: ReadonlyMap<number, string>;
}

/** When each event would begin on the wire, and as which bytes, of a player that does nothing wrong. */
function soundBegins(events: readonly Event[], withRunning: boolean): Sound {
  const begin = new Map<number, number>();
  const sent = new Map<number, string>();
  let free = 0;
  let running = 0;
  for (const { row, micros, bytes } of events) {
    const status = bytes[0]!;
    const isLeftOut = withRunning && status === running;
    running = status < 0xf0 ? status : 0;
    begin.set(row, Math.max(free, micros));
    free = Math.max(free, micros) + (bytes.length - (isLeftOut ? 1 : 0)) * BYTE;
    sent.set(row, bytes.slice(isLeftOut ? 1 : 0).join());
  }
  return { begin, bytes: sent };
}

function firstLeftOut(events: readonly Event[], list: readonly Event[], sound: Sound): number {
  const sent = new Set(list.map(({ row }) => row));
  return Math.min(
    Number.POSITIVE_INFINITY,
    ...events
      .filter(({ row }) => !sent.has(row))
      .map(({ row }) => sound.begin.get(row)!)
      .slice(0, 1),
  );
}

/** When it is seen first that something does not come which is heard: with what comes instead, at a later moment. */
function firstMissed(events: readonly Event[], begins: ReadonlyMap<number, number>, sound: Sound): number {
  const isStrike = ({ bytes }: Event) => (bytes[0]! & 0xf0) === 0x90 && bytes[2]! > 0;
  const struck = (event: Event) => (isStrike(event) ? begins.get(event.row) : undefined) ?? Infinity;
  const first = events.reduce((least, event) => Math.min(least, struck(event)), Infinity);
  /** By channel: when all that was to be set by now had come. */
  const setAt = new Float64Array(16).fill(Number.NEGATIVE_INFINITY);
  const placed = placedFrom(events.filter(isStrike));
  let missed = Number.POSITIVE_INFINITY;
  for (const event of events) {
    const status = event.bytes[0]!;
    const due = sound.begin.get(event.row)!;
    const came = begins.get(event.row) ?? Infinity;
    if (status < 0xf0 && (status & 0xe0) !== 0x80) setAt[status & 15] = Math.max(setAt[status & 15]!, came);
    if ((status & 0xe0) !== 0x80 || due <= first + MOMENT_MICROS) continue;
    if (!(came - due < MISSING_MICROS)) missed = Math.min(missed, due);
    else if (isStrike(event) && setAt[status & 15]! > came) missed = Math.min(missed, Math.max(due, placed));
  }
  const isNext = (begin: number) => begin > missed + MOMENT_MICROS;
  return [...begins.values()].filter(isNext).reduce((least, begin) => Math.min(least, begin), Infinity);
}

/**
 * Song time from which on the notes heard are those of no later place in the song: until then somebody may have come in there,
 * behind what was set before it.
 */
function placedFrom(strikes: readonly Event[]): number {
  const isLike = (one: Event, other: Event) => one.bytes.every((byte, n) => byte === other.bytes[n]);
  let longest = 0;
  // What begins later than that has fewer notes behind it than are alike already: an even beat is looked through once.
  for (let later = 1; later + longest < strikes.length; later += 1) {
    let like = 0;
    const shift = strikes[later]!.micros - strikes[0]!.micros;
    for (; later + like < strikes.length; like += 1) {
      const [here, there] = [strikes[like]!, strikes[later + like]!];
      if (!isLike(here, there) || Math.abs(there.micros - here.micros - shift) > MOMENT_MICROS) break;
    }
    longest = Math.max(longest, like);
  }
  return longest > 0 ? strikes[longest]!.micros : Number.NEGATIVE_INFINITY;
}

/**
 * What a receiver makes of the bytes (MIDI 1.0, p. ), and which note-ons are made of one written note-on's own
 * bytes and nothing else.
 */
function arrivedOf(
  wire: readonly { byte: number; event: number }[],
  list: readonly Event[],
  events: readonly Event[],
): Set<number> {
  const written = new Map(events.map((event) => [event.row, event.bytes]));
  const arrived = new Set<number>();
  let status = 0;
  let data: { byte: number; event: number }[] = [];
  for (const one of wire) {
    if (one.byte >= 0xf8) continue;
    if (one.byte >= 0x80) {
      status = one.byte < 0xf0 ? one.byte : 0;
      data = [];
      continue;
    }
    if (status === 0) continue;
    data.push(one);
    if (data.length < ((status & 0xe0) === 0xc0 ? 1 : 2)) continue;
    const event = list[data[0]!.event]!;
    const isWhole = data.every(({ event: other }) => other === data[0]!.event);
    const bytes = written.get(event.row)!;
    const isSame = status === bytes[0] && data.every(({ byte }, n) => byte === bytes[n + 1]);
    if ((status & 0xf0) === 0x90 && data[1]!.byte > 0 && isWhole && isSame) arrived.add(event.row);
    data = [];
  }
  return arrived;
}

/** When so many of the notes that came as written had come, at more than one moment; infinity for never. */
function knownFrom(notes: readonly { readonly tick: number; readonly begin: number }[]): number {
  const inTime = notes.toSorted((a, b) => a.begin - b.begin);
  const last = inTime.findIndex(({ tick }, n) => n >= KNOWN_BY_NOTES - 1 && tick !== inTime[0]!.tick);
  return inTime[last]?.begin ?? Number.POSITIVE_INFINITY;
}

function nextLoss(chance: () => number): number {
  return 1 + Math.floor(-Math.log(1 - chance()) * 500);
}

/** Whether a tick makes a difference to this song at all. */
function isOffGrid(list: readonly Event[], due: readonly number[], tick: number, phase: number): boolean {
  const offs = due
    .filter((_, n) => (list[n]!.bytes[0]! & 0xf0) === 0x90)
    .map((at) => Math.ceil((at - phase) / tick) * tick + phase - at);
  const sorted = offs.toSorted((a, b) => a - b);
  return (
    sorted.length > 20 &&
    sorted[Math.floor(sorted.length * 0.9)]! - sorted[Math.floor(sorted.length * 0.1)]! > 6000
  );
}

function hasChords(due: readonly number[]): boolean {
  let together = 0;
  for (let n = 1; n < due.length; n++) if (due[n]! - due[n - 1]! < 1000) together += 1;
  return together > 0.15 * due.length && together > 20;
}

function eventsOf({ columns }: Timeline): Event[] {
  const events: Event[] = [];
  const last = new Map<number, number>();
  for (let row = 0; row < columns.count; row++) {
    const status = columns.status[row]!;
    const track = columns.track[row]!;
    let bytes: number[];
    if (status >= 0xf0) {
      const payload = columns.payload[row]!;
      const from = columns.payloadStart[payload]!;
      const body = [...columns.payloadBytes.subarray(from, from + columns.payloadLength[payload]!)];
      if (status !== 0xf0 || body.length > 2000) continue;
      bytes = [0xf0, ...body];
    } else {
      bytes = [status, columns.data1[row]!, columns.data2[row]!].slice(0, (status & 0xe0) === 0xc0 ? 2 : 3);
    }
    events.push({
      tick: columns.tick[row]!,
      micros: columns.micros[row]!,
      track,
      bytes,
      row,
      leftOut: status < 0xf0 && last.get(track) === status,
    });
    last.set(track, status >= 0xf0 ? 0 : status);
  }
  return events;
}
