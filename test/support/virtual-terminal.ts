import headless from '@xterm/headless';
import {
  BOLD,
  background,
  CellGrid,
  DIM,
  foreground,
  INVERSE,
  ITALIC,
  UNDERLINE,
  WIDE_TAIL,
} from '../../src/screen/cells/cell-grid.ts';

/** A terminal emulator without a window (@xterm/headless): the outside judge of every byte we send. */
export interface VirtualTerminal {
  readonly columns: number;
  readonly rows: number;
  /** Settles when the bytes have been worked through. */
  write(bytes: string | Uint8Array): Promise<void>;
  resize(columns: number, rows: number): void;
  /** The screen as lines, spaces at line ends cut. */
  text(): string;
  /** The same screen as cells with their colours, in our own grid. */
  grid(): CellGrid;
  /** Rows that were scrolled out at the top since the start; a full-screen program scrolls none. */
  scrolledRows(): number;
  readonly isAlternateScreen: boolean;
  readonly isCursorHidden: boolean;
  readonly isWrapping: boolean;
  readonly isBracketedPaste: boolean;
  /** Which mouse events it was asked to report: `none`, or `vt200` for presses (DEC mode 1000). */
  readonly mouseTracking: string;
  /** Operating system commands it was given (window titles, clipboard, links): a song's text must cause none. */
  readonly systemCommands: readonly string[];
  /** What the terminal answers to questions (DSR, DECRQM), to be handed to the program's input. */
  onAnswer(listener: (answer: string) => void): void;
  close(): void;
}

/** The parts of the emulator's core that have no public reading; checked where they are used. */
interface Core {
  readonly coreService: { readonly isCursorHidden: boolean };
}

export function openVirtualTerminal(columns: number, rows: number): VirtualTerminal {
  const terminal = new headless.Terminal({ cols: columns, rows, scrollback: 1000, allowProposedApi: true });

  const systemCommands: string[] = [];
  for (const number of [0, 1, 2, 7, 8, 9, 52, 777, 1337]) {
    terminal.parser.registerOscHandler(number, (data) => {
      systemCommands.push(`${number};${data}`);
      return false;
    });
  }

  function grid(): CellGrid {
    const cells = new CellGrid(terminal.cols, terminal.rows);
    const { active } = terminal.buffer;
    for (let y = 0; y < terminal.rows; y++) {
      const line = active.getLine(active.baseY + y);
      for (let x = 0; x < terminal.cols; x++) {
        const cell = line?.getCell(x);
        if (cell === undefined) continue;
        const at = y * terminal.cols + x;
        if (cell.getWidth() === 0) cells.glyph[at] = WIDE_TAIL;
        else if (cell.getChars() !== '') cells.glyph[at] = cell.getChars().codePointAt(0)!;
        cells.style[at] =
          (cell.isFgDefault() ? 0 : foreground(cell.getFgColor())) |
          (cell.isBgDefault() ? 0 : background(cell.getBgColor())) |
          (cell.isBold() ? BOLD : 0) |
          (cell.isDim() ? DIM : 0) |
          (cell.isItalic() ? ITALIC : 0) |
          (cell.isUnderline() ? UNDERLINE : 0) |
          (cell.isInverse() ? INVERSE : 0);
      }
    }
    return cells;
  }

  return {
    systemCommands,
    get columns() {
      return terminal.cols;
    },
    get rows() {
      return terminal.rows;
    },
    write: (bytes) => new Promise((done) => terminal.write(bytes, done)),
    resize: (newColumns, newRows) => terminal.resize(newColumns, newRows),
    text() {
      const { active } = terminal.buffer;
      return Array.from({ length: terminal.rows }, (_, y) =>
        (active.getLine(active.baseY + y)?.translateToString(true) ?? '').trimEnd(),
      ).join('\n');
    },
    grid,
    scrolledRows: () => terminal.buffer.active.baseY,
    get isAlternateScreen() {
      return terminal.buffer.active.type === 'alternate';
    },
    get isCursorHidden() {
      return (terminal as unknown as { _core: Core })._core.coreService.isCursorHidden;
    },
    get isWrapping() {
      return terminal.modes.wraparoundMode;
    },
    get mouseTracking() {
      return terminal.modes.mouseTrackingMode;
    },
    get isBracketedPaste() {
      return terminal.modes.bracketedPasteMode;
    },
    onAnswer(listener) {
      terminal.onData(listener);
    },
    close: () => terminal.dispose(),
  };
}
