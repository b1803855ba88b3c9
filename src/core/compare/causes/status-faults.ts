import type { Timeline } from '../../timeline/timeline.ts';
import type { HeardMusic } from '../heard-music.ts';
import { MessageTally } from '../message-tally.ts';

/** What a reader makes of a file that leaves status bytes out (SMF 1.1, 2.3), and how it is seen. */
export interface StatusFault {
  readonly code: 'file-running-status' | 'running-status-across-tracks';
  readonly evidence: string;
}

/** Fewer would be chance. */
const FEWEST = 3;
const NEARLY_ALL = 0.9;
const MOST_LEFT_IN = 0.2;
/** Share of messages under a wrong status. */
const SEEN = 0.003;

/**
 * Judged by the messages' own bytes, without times: whether what came is the song less all events whose status the
 * file may leave out (the reader does not know running status), or the song's data bytes under other statuses (it keeps one
 * status for all tracks).
 * @param unheard so many messages may be there on one side alone, since listening began in mid-song
 */
export function statusFaults({ columns }: Timeline, heard: HeardMusic, unheard = 0): StatusFault | undefined {
  const all = new MessageTally();
  const own = new MessageTally();
  const data = new MessageTally();
  /** By track: status of the event before, 0 where it left none; and the tracks there are. */
  const last = new Uint8Array(1 << 16);
  const isThere = new Uint8Array(1 << 16);
  let tracks = 0;
  let follows = 0;
  for (let row = 0; row < columns.count; row += 1) {
    const status = columns.status[row]!;
    const track = columns.track[row]!;
    const isLeftOut = status < 0xf0 && last[track] === status;
    last[track] = status >= 0xf0 ? 0 : status;
    if (isThere[track] === 0) tracks += 1;
    isThere[track] = 1;
    if (status >= 0xf0) continue;
    const data1 = columns.data1[row]!;
    const data2 = columns.data2[row]!;
    all.addChannel(status, data1, data2);
    if (isLeftOut) follows += 1;
    else own.addChannel(status, data1, data2);
    if ((status & 0xe0) !== 0xc0) data.add(0, data1, data2);
  }
  if (follows < FEWEST) return undefined;
  const came = new MessageTally();
  const cameData = new MessageTally();
  for (const [n, status] of heard.said.status.entries()) {
    if (status >= 0xf0) continue;
    const [data1, data2] = [heard.said.data1[n]!, heard.said.data2[n]!];
    came.addChannel(status, data1, data2);
    if ((status & 0xe0) !== 0xc0) cameData.add(0, data1, data2);
  }
  const asWritten = all.shared(came) / Math.max(1, all.count);
  if (asWritten > 0.995) return undefined;
  const ofOwn = own.shared(came);
  // Of those that may be left out hardly one has come.
  const areLeftOut = all.shared(came) - ofOwn < MOST_LEFT_IN * follows;
  if (
    came.count < 0.98 * all.count - unheard &&
    areLeftOut &&
    own.count >= FEWEST &&
    ofOwn > NEARLY_ALL * own.count &&
    ofOwn > NEARLY_ALL * came.count
  ) {
    return {
      code: 'file-running-status',
      evidence: `${came.count} messages came, which are those ${own.count} of ${all.count} whose status the file must write; the ${follows} it may leave out did not`,
    };
  }
  const sameData = data.shared(cameData);
  const moved = sameData - all.sharedLong(came);
  if (
    tracks > 1 &&
    sameData > NEARLY_ALL * data.count &&
    moved >= FEWEST + unheard &&
    moved > SEEN * data.count &&
    moved > 5 * heard.faults.count
  ) {
    return {
      code: 'running-status-across-tracks',
      evidence: `${moved} messages came with their own data bytes under another status; ${Math.round((100 * sameData) / data.count)} % of the song's data bytes came`,
    };
  }
  return undefined;
}
