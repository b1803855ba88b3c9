/** Bars and beats. Bars and beats count from 1, as musicians do; ticks within a beat from 0. */
export interface MeterMap {
  readonly changes: readonly MeterChange[];
  barBeatAt(tick: number): BarBeat;
  /** First tick of a bar (1-based), and of a beat in it when given; clamps to the song's start. */
  tickOf(bar: number, beat?: number): number;
}

export interface MeterChange {
  readonly tick: number;
  /** Number of the bar that begins here. A change in mid-bar begins a new bar. */
  readonly bar: number;
  readonly numerator: number;
  /** 1, 2, 4, 8, … the note value of one beat. */
  readonly denominator: number;
  readonly ticksPerBeat: number;
}

export interface BarBeat {
  readonly bar: number;
  readonly beat: number;
  readonly tick: number;
  readonly numerator: number;
  readonly denominator: number;
}
