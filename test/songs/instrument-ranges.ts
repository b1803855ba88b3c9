/**
 * Keys on which a General MIDI program sounds like its instrument, lowest and highest, by program (0–127).
 * From memory of orchestration books and of the ranges GM sound sets are recorded in; common practice, no
 * source. Only the programs our songs use.
 */
export const INSTRUMENT_RANGES: Readonly<Record<number, readonly [low: number, high: number]>> = {
  0: [21, 108], // grand piano
  1: [21, 108], // bright piano
  9: [72, 108], // glockenspiel
  11: [53, 89], // vibraphone
  12: [48, 84], // marimba
  14: [60, 77], // tubular bells
  21: [53, 89], // accordion
  24: [40, 84], // nylon guitar
  27: [40, 86], // clean guitar
  28: [40, 86], // muted guitar
  32: [28, 55], // acoustic bass
  33: [28, 55], // fingered bass
  35: [26, 55], // fretless bass
  38: [24, 60], // synth bass
  42: [36, 76], // cello
  44: [28, 96], // tremolo strings
  45: [28, 96], // pizzicato strings
  46: [23, 103], // harp
  47: [36, 57], // timpani
  48: [28, 96], // string ensemble
  52: [48, 79], // choir
  53: [48, 79], // voices
  56: [55, 84], // trumpet
  57: [34, 75], // trombone
  60: [41, 77], // french horn
  61: [36, 96], // brass section
  65: [49, 81], // alto saxophone
  71: [50, 91], // clarinet
  73: [60, 96], // flute
  80: [21, 108], // leads and pads: no instrument to leave
  81: [21, 108],
  88: [21, 108],
  89: [21, 108],
};
