import { ChannelTally } from './channel-tally.ts';
import { HeldPedals } from './held-pedals.ts';
import { judgeUnpaired } from './judge-unpaired.ts';
import type { SentColumns } from './sent-columns.ts';
import { NO_PARTNER, type TimelineColumns } from './timeline.ts';
import type { TimelineFindings } from './timeline-finding.ts';

const KEYS = 128;
const VOICES_PER_PORT = 16 * KEYS;

export interface NotePairing {
  /** Pairs the rows up to `end` that are not yet; those before it stand in their place. */
  pairTo(end: number): void;
  /** Says what is wrong, once all are paired. */
  report(columns: TimelineColumns, findings: TimelineFindings): void;
}

/** Pairs all notes anew. */
export function pairNotes(
  columns: TimelineColumns,
  portOf: Uint8Array,
  patterns: boolean,
  findings: TimelineFindings,
): void {
  const pairing = notePairing(columns, columns.partner, portOf, patterns);
  pairing.pairTo(columns.count);
  pairing.report(columns, findings);
}

/**
 * Fills `partner` of all rows, and finds what is wrong with notes and pedals: one walk for all,
 * as a walk over a million notes costs more than what is done on the way.
 *
 * Each note-on gets its note-off: two ons on one key need two offs, and the first struck is the first released (MIDI
 * 1.0, A-4). Tracks that ask for different ports drive different instruments and are paired apart. While a strike waits,
 * its `partner` holds the row of the next one waiting on its key: the queues need no memory of their own.
 * @param portOf port slot (0, 1, 2 …) of each track
 * @param patterns format 2: each track is a pattern of its own, and no note outlives it
 */
export function notePairing(
  { status, data1, data2, tick, track }: SentColumns,
  partner: Uint32Array,
  portOf: Uint8Array,
  patterns: boolean,
): NotePairing {
  const ports = portOf.reduce((most, port) => Math.max(most, port + 1), 1);
  // Arrays of this function, not fields of an object: a tenth of the walk's time (measured).
  const firstWaiting = new Uint32Array(ports * VOICES_PER_PORT).fill(NO_PARTNER);
  const lastWaiting = new Uint32Array(ports * VOICES_PER_PORT);
  const struckTwice = new ChannelTally();
  const withoutLength = new ChannelTally();
  const pedals = new HeldPedals();
  let surplusReleases = 0;
  let neverReleased = 0;
  let pattern = 0;
  let paired = 0;
  return {
    pairTo(end) {
      for (let row = paired; row < end; row += 1) {
        if (patterns && track[row] !== pattern) {
          pattern = track[row]!;
          neverReleased += giveUp(firstWaiting, partner);
        }
        const kind = status[row]! & 0xf0;
        const channel = status[row]! & 0x0f;
        if (kind !== 0x90 && kind !== 0x80) {
          partner[row] = NO_PARTNER;
          if (kind === 0xb0) pedals.controller(channel, data1[row]!, data2[row]!);
          continue;
        }
        const port = ports === 1 ? 0 : portOf[track[row]!]!;
        const voice = port * VOICES_PER_PORT + channel * KEYS + data1[row]!;
        const strike = firstWaiting[voice]!;
        if (kind === 0x90 && data2[row]! > 0) {
          if (strike === NO_PARTNER) firstWaiting[voice] = row;
          else {
            partner[lastWaiting[voice]!] = row;
            struckTwice.add(channel, row);
          }
          lastWaiting[voice] = row;
          partner[row] = NO_PARTNER;
        } else {
          partner[row] = strike; // NO_PARTNER where none waits
          if (strike === NO_PARTNER) surplusReleases += 1;
          else {
            firstWaiting[voice] = partner[strike]!;
            partner[strike] = row;
            if (tick[strike] === tick[row]) withoutLength.add(channel, strike);
          }
        }
      }
      paired = end;
    },
    report(columns, findings) {
      neverReleased += giveUp(firstWaiting, partner);
      struckTwice.report('note-struck-twice', columns, findings);
      withoutLength.report('note-without-length', columns, findings);
      if (neverReleased + surplusReleases > 0) judgeUnpaired(columns, findings);
      pedals.report(findings);
    },
  };
}

/** The instruments change, or the song ends: strikes still waiting will never be released. @returns how many */
function giveUp(firstWaiting: Uint32Array, partner: Uint32Array): number {
  let strikes = 0;
  for (let voice = 0; voice < firstWaiting.length; voice += 1) {
    for (let row = firstWaiting[voice]!; row !== NO_PARTNER; strikes += 1) {
      const next = partner[row]!;
      partner[row] = NO_PARTNER;
      row = next;
    }
    firstWaiting[voice] = NO_PARTNER;
  }
  return strikes;
}
