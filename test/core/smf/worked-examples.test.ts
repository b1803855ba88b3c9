import { describe, expect, it } from 'vitest';
import { readSong } from '../../../src/core/smf/read-song.ts';
import type { Song } from '../../../src/core/smf/song.ts';
import { FORMAT_0, FORMAT_1 } from '../../support/worked-examples.ts';

/** `tick status data1 data2`, and for meta events the type. */
function rows(song: Song): string[] {
  const { events } = song;
  return Array.from(
    { length: events.count },
    (_, i) => `${events.tick[i]} ${events.status[i]!.toString(16)} ${events.data1[i]} ${events.data2[i]}`,
  );
}

describe("the specification's worked examples (SMF 1.1, Appendix 2)", () => {
  it('reads the format 0 file', () => {
    const song = readSong(FORMAT_0);
    expect(FORMAT_0.length).toBe(81);
    expect(song.format).toBe(0);
    expect(song.division).toEqual({ kind: 'quarter', ticksPerQuarter: 96 });
    expect([...song.trackStart]).toEqual([0, 14]);
    expect(song.findings).toEqual([]);
    expect(rows(song)).toEqual([
      '0 ff 88 0',
      '0 ff 81 0',
      '0 c0 5 0',
      '0 c1 46 0',
      '0 c2 70 0',
      '0 92 48 96',
      '0 92 60 96',
      '96 91 67 64',
      '192 90 76 32',
      '384 82 48 64',
      '384 82 60 64',
      '384 81 67 64',
      '384 80 76 64',
      '384 ff 47 0',
    ]);
    expect([...song.payloads.start]).toEqual([26, 34, 81]);
    expect([...song.payloads.length]).toEqual([4, 3, 0]);
  });

  it('reads the format 1 file', () => {
    const song = readSong(FORMAT_1);
    expect(FORMAT_1.length).toBe(118);
    expect(song.format).toBe(1);
    expect([...song.trackStart]).toEqual([0, 3, 7, 11, 17]);
    expect(song.findings).toEqual([]);
    expect(rows(song)).toEqual([
      '0 ff 88 0',
      '0 ff 81 0',
      '384 ff 47 0',
      '0 c0 5 0',
      '192 90 76 32',
      '384 90 76 0',
      '384 ff 47 0',
      '0 c1 46 0',
      '96 91 67 64',
      '384 91 67 0',
      '384 ff 47 0',
      '0 c2 70 0',
      '0 92 48 96',
      '0 92 60 96',
      '384 92 48 0',
      '384 92 60 0',
      '384 ff 47 0',
    ]);
  });
});
