import type { Song } from '../../src/core/smf/song.ts';

/** Findings a list can hold: the codes there are, each with its listed ones and a closing line. */
const MOST_FINDINGS = 1000;

/**
 * What holds for every song the reader gives, however damaged its bytes. Plain loops and one message: it is
 * called for tens of thousands of songs.
 * @returns the first law broken, or undefined
 */
export function brokenLaw(song: Song): string | undefined {
  const { events, payloads, trackStart, bytes, division } = song;
  for (const column of [events.tick, events.status, events.data1, events.data2, events.payload]) {
    if (column.length !== events.count) return `a column has ${column.length} rows, not ${events.count}`;
  }
  if (trackStart.length < 2 || trackStart[0] !== 0) return 'the first track does not begin at row 0';
  if (trackStart.at(-1) !== events.count) return 'the last track does not end with the rows';
  let nextPayload = 0;
  for (let track = 0; track + 1 < trackStart.length; track++) {
    const from = trackStart[track]!;
    const to = trackStart[track + 1]!;
    if (to < from) return `track ${track} ends before it begins`;
    for (let row = from; row < to; row++) {
      if (row > from && events.tick[row]! < events.tick[row - 1]!) return `row ${row}: time goes backwards`;
      const status = events.status[row]!;
      if (events.data1[row]! > 127 || events.data2[row]! > 127) return `row ${row}: a data byte above 127`;
      const isPayload = status >= 0xf0;
      if (isPayload && status !== 0xf0 && status !== 0xf7 && status !== 0xff)
        return `row ${row}: status ${status}`;
      if (status < 0x80) return `row ${row}: status ${status}`;
      const payload = events.payload[row]!;
      if (!isPayload && payload !== 0) return `row ${row}: payload ${payload} with status ${status}`;
      if (isPayload && payload !== nextPayload++) return `row ${row}: payload ${payload} out of order`;
    }
  }
  if (nextPayload !== payloads.count) return `${payloads.count} payloads, ${nextPayload} used`;
  for (let i = 0; i < payloads.count; i++) {
    if (payloads.start[i]! + payloads.length[i]! > bytes.length) return `payload ${i} ends outside the file`;
  }
  const unit = division.kind === 'quarter' ? division.ticksPerQuarter : division.ticksPerFrame;
  if (!(unit > 0)) return 'a division of 0';
  if (song.findings.length > MOST_FINDINGS) return `${song.findings.length} findings`;
  for (const { text, offset } of song.findings) {
    if (/\{\w+\}|\n/.test(text) || !text.endsWith('.')) return `no plain sentence: ${text}`;
    if (offset < -1 || offset > bytes.length) return `a finding outside the file: ${offset}`;
  }
  return undefined;
}
