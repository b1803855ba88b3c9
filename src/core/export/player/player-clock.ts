/** Paths that every player has, in its units. */
export interface PlayerPaths {
  readonly status: number;
  readonly levelEnd: number;
  readonly topEnd: number;
  readonly pair: number;
  readonly shortReference: number;
  readonly reference: number;
  readonly longReference: number;
  readonly wait: number;
  readonly longWait: number;
  /** A byte that has no code of its own. */
  readonly whole: number;
}

/** A player's own account of time, path by path. Times are units from its start. */
export interface PlayerClock {
  take(path: keyof PlayerPaths): void;
  /** The source has run into another page of 256. */
  page(): void;
  tick(stepUnits: number): void;
  /** @returns when the byte leaves */
  send(): number;
}

/** How a player was made, as far as its time depends on it. */
export interface PlayerMake {
  readonly slotUnits: number;
  readonly unitsPerSecond: number;
  readonly ready: 'none' | 'high' | 'low';
  readonly canStop: boolean;
}
