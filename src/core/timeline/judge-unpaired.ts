import { endsNotes } from '../midi/controllers.ts';
import { LISTED_PER_CODE } from '../smf/finding-list.ts';
import { ChannelTally } from './channel-tally.ts';
import { noteValues } from './note-values.ts';
import { NO_PARTNER, type TimelineColumns } from './timeline.ts';
import type { PlaceOf, TimelineFindings } from './timeline-finding.ts';

/** Releases without a strike that are looked at for the cause of a stuck note. */
const MOST_STRAYS = 4096;

/** Names what is wrong with each note-on and note-off that found no partner. */
export function judgeUnpaired(columns: TimelineColumns, findings: TimelineFindings): void {
  const strays = strayReleases(columns, findings);
  const lastAllOff = lastAllOffs(columns);
  const claimed = new Set<number>();
  const { count, status, data1, data2, partner } = columns;
  for (let row = 0; row < count; row += 1) {
    if ((status[row]! & 0xf0) !== 0x90 || data2[row] === 0 || partner[row] !== NO_PARTNER) continue;
    const channel = status[row]! & 0x0f;
    const note = (place: PlaceOf) => noteValues(columns, row, place);
    const enough = findings.count('note-released-elsewhere') >= LISTED_PER_CODE;
    const stray = enough
      ? undefined
      : strays.find(
          (off) =>
            off > row && data1[off] === data1[row] && (status[off]! & 0x0f) !== channel && !claimed.has(off),
        );
    if (stray !== undefined) {
      claimed.add(stray);
      findings.add('note-released-elsewhere', -1, (place) => ({
        ...note(place),
        elsewhere: (status[stray]! & 0x0f) + 1,
      }));
    } else if (lastAllOff[channel]! > row) findings.add('note-ended-by-all-off', -1, note);
    else findings.add('note-never-released', -1, note);
  }
}

function strayReleases(columns: TimelineColumns, findings: TimelineFindings): number[] {
  const { count, status, data2, partner } = columns;
  const strays: number[] = [];
  const tally = new ChannelTally();
  for (let row = 0; row < count; row += 1) {
    if (partner[row] !== NO_PARTNER) continue;
    const kind = status[row]! & 0xf0;
    if (kind !== 0x80 && (kind !== 0x90 || data2[row] !== 0)) continue;
    tally.add(status[row]! & 0x0f, row);
    if (strays.length < MOST_STRAYS) strays.push(row);
  }
  tally.report('release-without-note', columns, findings);
  return strays;
}

/** Last row on each channel that ends all notes: 120, 123 and the mode messages (MIDI 1.0, Table IV); -1 for none. */
function lastAllOffs({ count, status, data1 }: TimelineColumns): Int32Array {
  const last = new Int32Array(16).fill(-1);
  for (let row = 0; row < count; row += 1) {
    if ((status[row]! & 0xf0) !== 0xb0) continue;
    if (endsNotes(data1[row]!)) last[status[row]! & 0x0f] = row;
  }
  return last;
}
