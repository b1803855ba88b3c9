import { readSong } from '../../src/core/smf/read-song.ts';
import { buildTimeline } from '../../src/core/timeline/build-timeline.ts';

/** Each channel message of a song in playing order, with its status byte. */
export function songMessages(song: Uint8Array): Uint8Array[] {
  const { columns } = buildTimeline(readSong(song));
  const messages: Uint8Array[] = [];
  for (let row = 0; row < columns.count; row += 1) {
    const status = columns.status[row]!;
    if (status >= 0xf0) continue;
    const length = (status & 0xe0) === 0xc0 ? 2 : 3;
    messages.push(Uint8Array.of(status, columns.data1[row]!, columns.data2[row]!).subarray(0, length));
  }
  return messages;
}
