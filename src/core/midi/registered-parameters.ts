/**
 * Registered parameters (MIDI 1.0 Detailed Specification 4.2.1, p. 17–18, Table IIIa; 00 05: GM2, RP-024). One
 * is chosen by CC 101 and CC 100, then moved by CC 6, 38, 96 and 97.
 */
export interface RegisteredParameter {
  readonly coarse: number;
  readonly fine: number;
  readonly name: string;
  /** Which data entry controllers it listens to. */
  readonly entry: 'coarse' | 'coarse-and-fine' | 'none';
}

export const REGISTERED_PARAMETERS: readonly RegisteredParameter[] = [
  { coarse: 0, fine: 0, name: 'Pitch Bend Sensitivity', entry: 'coarse-and-fine' },
  { coarse: 0, fine: 1, name: 'Fine Tuning', entry: 'coarse-and-fine' },
  { coarse: 0, fine: 2, name: 'Coarse Tuning', entry: 'coarse' },
  { coarse: 0, fine: 3, name: 'Tuning Program Select', entry: 'coarse' },
  { coarse: 0, fine: 4, name: 'Tuning Bank Select', entry: 'coarse' },
  { coarse: 0, fine: 5, name: 'Modulation Depth Range', entry: 'coarse-and-fine' },
  // Chosen so that stray data entry moves nothing.
  { coarse: 127, fine: 127, name: 'Null', entry: 'none' },
];

/** General MIDI 1 fixes what MIDI 1.0 leaves to the receiver: bends reach two semitones either way. */
export const GM_BEND_SEMITONES = 2;

export function registeredParameter(coarse: number, fine: number): RegisteredParameter | undefined {
  return REGISTERED_PARAMETERS.find((parameter) => parameter.coarse === coarse && parameter.fine === fine);
}

export function registeredParameterName(coarse: number, fine: number): string {
  return registeredParameter(coarse, fine)?.name ?? `RPN ${coarse}/${fine}`;
}
