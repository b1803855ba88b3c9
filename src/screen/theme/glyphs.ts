/**
 * The signs the screen is drawn with: a set for fonts with block characters, one without. Each is one cell wide,
 * but for the names of the arrow keys.
 */
export interface GlyphSet {
  readonly cursor: string;
  readonly heldBack: string;
  readonly changed: string;
  readonly pedal: string;
  readonly bendUp: string;
  readonly bendDown: string;
  readonly marker: string;
  readonly playhead: string;
  readonly loopFrom: string;
  readonly loopTo: string;
  readonly loopLine: string;
  readonly rule: string;
  readonly times: string;
  readonly quarter: string;
  readonly dot: string;
  readonly ellipsis: string;
  readonly left: string;
  readonly right: string;
  readonly up: string;
  readonly down: string;
  readonly states: Readonly<Record<'stopped' | 'playing' | 'paused' | 'ended', string>>;
  /** Columns of growing height, the first one empty. */
  readonly heights: readonly string[];
  /** Pieces of a horizontal bar from an empty cell to a full one. */
  readonly fills: readonly string[];
  /** True where the pitch strip may use braille cells: two columns of four dots each. */
  readonly braille: boolean;
  /** Without braille: the afterglow, then soft, middle and loud notes. */
  readonly notes: readonly [string, string, string, string];
}

const BLOCKS: GlyphSet = {
  cursor: '▸',
  heldBack: '»',
  changed: '≠',
  pedal: '▂',
  bendUp: '↑',
  bendDown: '↓',
  marker: '▾',
  playhead: '┃',
  loopFrom: '⟦',
  loopTo: '⟧',
  loopLine: '─',
  rule: '─',
  times: '×',
  quarter: '♩',
  dot: '·',
  ellipsis: '…',
  left: '←',
  right: '→',
  up: '↑',
  down: '↓',
  states: { stopped: '■', playing: '▶', paused: '‖', ended: '▣' },
  heights: [' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'],
  fills: [' ', '▏', '▎', '▍', '▌', '▋', '▊', '▉', '█'],
  braille: true,
  notes: ['.', '-', '+', '#'],
};

const ASCII: GlyphSet = {
  cursor: '>',
  heldBack: '^',
  changed: '*',
  pedal: '_',
  bendUp: '/',
  bendDown: '\\',
  marker: 'v',
  playhead: '|',
  loopFrom: '[',
  loopTo: ']',
  loopLine: '-',
  rule: '-',
  times: 'x',
  quarter: 'q',
  dot: "'",
  ellipsis: '~',
  // Words, as < > v are keys of their own.
  left: 'left',
  right: 'right',
  up: 'up',
  down: 'down',
  states: { stopped: '#', playing: '>', paused: '=', ended: '$' },
  heights: [' ', ',', ':', '-', '=', '+', '*', '#', '@'],
  fills: [' ', '-', '='],
  braille: false,
  notes: ['.', '-', '+', '#'],
};

export function glyphsFor(ascii: boolean): GlyphSet {
  return ascii ? ASCII : BLOCKS;
}
