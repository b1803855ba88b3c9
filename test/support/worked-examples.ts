import { hex } from './hex.ts';

/**
 * The two example files printed in the Standard MIDI-File Format Spec. 1.1, Appendix 2, byte for byte:
 * four notes, 96 ticks a quarter note, 4/4, 120 BPM.
 */
export const FORMAT_0 = hex(`
  4D546864 00000006 0000 0001 0060 -- MThd, length 6, format 0, one track, 96 ticks a quarter note
  4D54726B 0000003B                -- MTrk, 59 bytes
  00 FF580404021808                -- 4/4, 24 clocks a click, 8 32nds a quarter
  00 FF510307A120                  -- 500,000 microseconds a quarter
  00 C005  00 C12E  00 C246        -- programs
  00 923060  00 3C60               -- channel 3: C3, then C4 by running status
  60 914340                        -- channel 2: G4
  60 904C20                        -- channel 1: E5
  8140 823040  00 3C40             -- two-byte delta time 192
  00 814340  00 804C40
  00 FF2F00`);

export const FORMAT_1 = hex(`
  4D546864 00000006 0001 0004 0060
  4D54726B 00000014 00FF580404021808 00FF510307A120 8300FF2F00
  4D54726B 00000010 00C005 8140904C20 81404C00 00FF2F00
  4D54726B 0000000F 00C12E 60914340 82204300 00FF2F00
  4D54726B 00000015 00C246 00923060 003C60 83003000 003C00 00FF2F00`);
