/** A figure of the rows above and below the lanes, and what it means; the help overlay and docs/keys.md print them. */
export interface FigureRow {
  readonly figure: string;
  /** At most 26 letters: the narrowest column of the help has room for no more. */
  readonly meaning: string;
  /** Never seen without it: a song that plays, or an output that an input is passed on to. */
  readonly needs?: 'song' | 'thru';
}

export const FIGURE_TABLE: readonly FigureRow[] = [
  { figure: '0:08 -0:23', meaning: 'song time; what is left', needs: 'song' },
  { figure: 'in 3', meaning: 'beats to go of a count-in', needs: 'song' },
  { figure: '41-43', meaning: 'first and last bar looped', needs: 'song' },
  { figure: 'wire', meaning: 'used in the last 0.5 s' },
  { figure: 'plan', meaning: 'the same, as planned', needs: 'song' },
  { figure: 'peak', meaning: 'wire in its fullest 100 ms' },
  { figure: 'backlog', meaning: 'time what waits will take' },
  { figure: 'ahead', meaning: 'plan for the next 8 s', needs: 'song' },
  { figure: 'worst onset', meaning: 'latest note so far; bar', needs: 'song' },
  { figure: 'planned', meaning: 'latest note the plan has', needs: 'song' },
  { figure: 'hand-over', meaning: 'latest given to the port', needs: 'song' },
  { figure: 'stalls', meaning: 'times the machine stood', needs: 'song' },
  { figure: 'left out', meaning: 'notes not sent: too late' },
  { figure: 'SysEx held', meaning: 'not sent: --allow-sysex', needs: 'song' },
  { figure: 'passed on', meaning: 'messages sent by --thru', needs: 'thru' },
];
