import { describe, expect, it } from 'vitest';
import { META_KINDS, Meta } from '../../../src/core/smf/meta-kinds.ts';

describe('the table of meta events', () => {
  it('has a name of its own for each of the 128 types', () => {
    expect(META_KINDS).toHaveLength(128);
    expect(new Set(META_KINDS.map((kind) => kind.name)).size).toBe(128);
  });

  // SMF 1.1, section 3.1; 08 and 09: RP-019, from memory; 21: common practice.
  it.each([
    [0x00, 'Sequence Number', [2, 0]],
    [0x01, 'Text', undefined],
    [0x03, 'Sequence/Track Name', undefined],
    [0x05, 'Lyric', undefined],
    [0x06, 'Marker', undefined],
    [0x07, 'Cue Point', undefined],
    [0x20, 'Channel Prefix', [1]],
    [0x21, 'Port Number', [1]],
    [0x2f, 'End of Track', [0]],
    [0x51, 'Set Tempo', [3]],
    [0x54, 'SMPTE Offset', [5]],
    [0x58, 'Time Signature', [4]],
    [0x59, 'Key Signature', [2]],
    [0x7f, 'Sequencer-Specific', undefined],
  ])('%i is %s', (type, name, lengths) => {
    expect(META_KINDS[type]!.name).toBe(name);
    expect(META_KINDS[type]!.lengths).toEqual(lengths);
  });

  it('keeps 01 to 0F for text', () => {
    const text = META_KINDS.flatMap((kind, type) => (kind.text === true ? [type] : []));
    expect(text).toEqual(Array.from({ length: 15 }, (_, i) => i + 1));
  });

  it('gives the names in code their numbers', () => {
    expect(Meta).toMatchObject({ trackName: 3, endOfTrack: 0x2f, tempo: 0x51, timeSignature: 0x58 });
  });
});
