import { ChannelTally } from './channel-tally.ts';
import { judgeUnpaired } from './judge-unpaired.ts';
import { NO_PARTNER, type TimelineColumns } from './timeline.ts';
import type { TimelineFindings } from './timeline-finding.ts';

const KEYS = 128;
const VOICES_PER_PORT = 16 * KEYS;

/**
 * Gives each note-on its note-off: two ons on one key need two offs, and the first struck is the first
 * released (MIDI 1.0, A-4). A note-on with velocity 0 is a note-off. Tracks that ask for different ports
 * drive different instruments and are paired apart.
 *
 * While a strike waits, its `partner` holds the row of the next one waiting on its key: the queues need no
 * memory of their own.
 * @param portOf port slot (0, 1, 2 …) of each track
 * @param patterns format 2: each track is a pattern of its own, and no note outlives it
 */
export function pairNotes(
  columns: TimelineColumns,
  portOf: Uint8Array,
  ports: number,
  patterns: boolean,
  findings: TimelineFindings,
): void {
  const { count, tick, status, data1, data2, track, partner } = columns;
  const first = new Uint32Array(ports * VOICES_PER_PORT).fill(NO_PARTNER);
  const last = new Uint32Array(ports * VOICES_PER_PORT);
  const struckTwice = new ChannelTally();
  const withoutLength = new ChannelTally();
  let unpaired = 0;
  let pattern = 0;
  for (let row = 0; row < count; row += 1) {
    const kind = status[row]! & 0xf0;
    partner[row] = NO_PARTNER;
    if (patterns && track[row] !== pattern) {
      pattern = track[row]!;
      unpaired += dropWaiting(first, partner);
    }
    if (kind !== 0x90 && kind !== 0x80) continue;
    const port = ports === 1 ? 0 : portOf[track[row]!]!;
    const voice = port * VOICES_PER_PORT + (status[row]! & 0x0f) * KEYS + data1[row]!;
    const waiting = first[voice]!;
    if (kind === 0x90 && data2[row]! > 0) {
      if (waiting === NO_PARTNER) first[voice] = row;
      else {
        partner[last[voice]!] = row;
        struckTwice.add(status[row]! & 0x0f, row);
      }
      last[voice] = row;
    } else if (waiting === NO_PARTNER) unpaired += 1;
    else {
      first[voice] = partner[waiting]!;
      partner[waiting] = row;
      partner[row] = waiting;
      if (tick[waiting] === tick[row]) withoutLength.add(status[row]! & 0x0f, waiting);
    }
  }
  unpaired += dropWaiting(first, partner);
  struckTwice.report('note-struck-twice', columns, findings);
  withoutLength.report('note-without-length', columns, findings);
  if (unpaired > 0) judgeUnpaired(columns, findings);
}

/** Strikes still waiting will never be released. Returns how many there were. */
function dropWaiting(first: Uint32Array, partner: Uint32Array): number {
  let dropped = 0;
  for (let voice = 0; voice < first.length; voice += 1) {
    for (let row = first[voice]!; row !== NO_PARTNER; dropped += 1) {
      const next = partner[row]!;
      partner[row] = NO_PARTNER;
      row = next;
    }
    first[voice] = NO_PARTNER;
  }
  return dropped;
}
