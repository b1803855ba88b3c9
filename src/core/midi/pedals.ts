import { Cc } from './controllers.ts';

/** A pedal by its controller (MIDI 1.0, Table III). */
export interface Pedal {
  readonly controller: number;
  readonly name: string;
  /** It holds notes that were let go; the others only colour them. */
  readonly holds: boolean;
}

/** The pedals that a silence lifts: those that hold or colour a sound. */
export const PEDALS: readonly Pedal[] = [
  { controller: Cc.damper, name: 'damper', holds: true },
  { controller: Cc.sostenuto, name: 'sostenuto', holds: true },
  { controller: Cc.soft, name: 'soft', holds: false },
  { controller: Cc.hold2, name: 'hold 2', holds: true },
];

/** Those of them that hold notes. */
export const HOLDING_PEDALS: readonly Pedal[] = PEDALS.filter(({ holds }) => holds);
