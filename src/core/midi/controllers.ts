/**
 * The 128 controller numbers (MIDI 1.0 Detailed Specification 4.2.1, Tables III and IV; reverb, chorus and the
 * names of 75–78: GM2, RP-024; 88: CA-031, 2010, from memory).
 */

export type ControllerKind =
  /** Continuous, most significant seven bits; its fine half is the number + 32. */
  | 'coarse'
  /** The least significant seven bits of the number − 32. */
  | 'fine'
  /** Continuous, seven bits. */
  | 'seven-bit'
  /** 0–63 off, 64–127 on (p. 12). */
  | 'switch'
  /** Data entry steps, and the choice of a parameter number. */
  | 'parameter'
  /** 120–127: a channel mode message. */
  | 'mode'
  | 'undefined';

export interface Controller {
  readonly number: number;
  readonly name: string;
  readonly kind: ControllerKind;
}

/** Numbers that code asks for by name. */
export const Cc = {
  bankSelect: 0,
  modulation: 1,
  portamentoTime: 5,
  dataEntry: 6,
  volume: 7,
  balance: 8,
  pan: 10,
  expression: 11,
  bankSelectFine: 32,
  portamentoTimeFine: 37,
  dataEntryFine: 38,
  damper: 64,
  portamento: 65,
  sostenuto: 66,
  soft: 67,
  legato: 68,
  hold2: 69,
  portamentoControl: 84,
  velocityPrefix: 88,
  reverbSend: 91,
  chorusSend: 93,
  dataIncrement: 96,
  dataDecrement: 97,
  nrpnFine: 98,
  nrpn: 99,
  rpnFine: 100,
  rpn: 101,
  allSoundOff: 120,
  resetAllControllers: 121,
  localControl: 122,
  allNotesOff: 123,
  omniOff: 124,
  omniOn: 125,
  monoOn: 126,
  polyOn: 127,
} as const;

const COARSE: Readonly<Record<number, string>> = {
  0: 'Bank Select',
  1: 'Modulation',
  2: 'Breath',
  4: 'Foot',
  5: 'Portamento Time',
  6: 'Data Entry',
  7: 'Channel Volume',
  8: 'Balance',
  10: 'Pan',
  11: 'Expression',
  12: 'Effect Control 1',
  13: 'Effect Control 2',
  16: 'General Purpose 1',
  17: 'General Purpose 2',
  18: 'General Purpose 3',
  19: 'General Purpose 4',
};

const REST: Readonly<Record<number, readonly [name: string, kind: ControllerKind]>> = {
  64: ['Damper Pedal', 'switch'],
  65: ['Portamento On/Off', 'switch'],
  66: ['Sostenuto', 'switch'],
  67: ['Soft Pedal', 'switch'],
  68: ['Legato Footswitch', 'switch'],
  69: ['Hold 2', 'switch'],
  70: ['Sound Variation', 'seven-bit'],
  71: ['Harmonic Intensity', 'seven-bit'],
  72: ['Release Time', 'seven-bit'],
  73: ['Attack Time', 'seven-bit'],
  74: ['Brightness', 'seven-bit'],
  75: ['Decay Time', 'seven-bit'],
  76: ['Vibrato Rate', 'seven-bit'],
  77: ['Vibrato Depth', 'seven-bit'],
  78: ['Vibrato Delay', 'seven-bit'],
  79: ['Sound Controller 10', 'seven-bit'],
  80: ['General Purpose 5', 'seven-bit'],
  81: ['General Purpose 6', 'seven-bit'],
  82: ['General Purpose 7', 'seven-bit'],
  83: ['General Purpose 8', 'seven-bit'],
  84: ['Portamento Control', 'seven-bit'],
  88: ['High-Resolution Velocity Prefix', 'seven-bit'],
  91: ['Reverb Send', 'seven-bit'],
  92: ['Tremolo Depth', 'seven-bit'],
  93: ['Chorus Send', 'seven-bit'],
  94: ['Celeste Depth', 'seven-bit'],
  95: ['Phaser Depth', 'seven-bit'],
  96: ['Data Increment', 'parameter'],
  97: ['Data Decrement', 'parameter'],
  98: ['NRPN Fine', 'parameter'],
  99: ['NRPN', 'parameter'],
  100: ['RPN Fine', 'parameter'],
  101: ['RPN', 'parameter'],
  120: ['All Sound Off', 'mode'],
  121: ['Reset All Controllers', 'mode'],
  122: ['Local Control', 'mode'],
  123: ['All Notes Off', 'mode'],
  124: ['Omni Off', 'mode'],
  125: ['Omni On', 'mode'],
  126: ['Mono On', 'mode'],
  127: ['Poly On', 'mode'],
};

function controllerAt(number: number): Controller {
  const nameOfCoarse = COARSE[number % 32];
  if (number < 64 && nameOfCoarse !== undefined) {
    return number < 32
      ? { number, name: nameOfCoarse, kind: 'coarse' }
      : { number, name: `${nameOfCoarse} Fine`, kind: 'fine' };
  }
  const [name, kind] = REST[number] ?? [`Controller ${number}`, 'undefined'];
  return { number, name, kind };
}

/** [128] one entry for each controller number. */
export const CONTROLLERS: readonly Controller[] = Array.from({ length: 128 }, (_, number) =>
  controllerAt(number),
);

export function controllerName(number: number): string {
  return CONTROLLERS[number]?.name ?? `Controller ${number}`;
}

/** All Sound Off, All Notes Off and the modes that imply it (MIDI 1.0, p. 20–26). */
export function endsNotes(controller: number): boolean {
  return controller === Cc.allSoundOff || controller >= Cc.allNotesOff;
}

/** For switches (64–69): on from 64 (p. 12; the file format's own appendix leaves 63 and 64 unassigned). */
export function isSwitchOn(value: number): boolean {
  return value >= 64;
}
