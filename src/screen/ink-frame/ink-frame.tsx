import chalk from 'chalk';
import { Box, type Instance, render } from 'ink';
import type { ReactNode } from 'react';
import { CellGrid } from '../cells/cell-grid.ts';
import type { Frame } from '../terminal/frame.ts';
import type { InputListeners } from '../terminal/input-listeners.ts';
import { BugBoundary } from './bug-boundary.tsx';
import { withoutExitHooks } from './exit-hooks.ts';
import { parseFrame } from './frame-parser.ts';
import { deafKeyboard, FrameSink } from './frame-sink.ts';
import { type MeasuredPlace, PlaceRegister } from './places.ts';
import { ScreenContext } from './screen-context.ts';

export interface InkFrameEvents {
  /** The frame is another now; draw it when you can. Called any number of times, also while React works. */
  onChange(): void;
  /** A component has thrown; nothing of it is shown any more. */
  onBug(error: Error): void;
}

/**
 * One Ink tree rendered into cells. Ink lays out, draws labels and dialogs; `compose` puts its latest frame and
 * the live boxes into a grid. It knows no terminal: `inkScreen` and `openTestScreen` do.
 *
 * Ink runs with `debug`, which hands over each frame as plain lines, at once, and also when the environment
 * has CI set (otherwise it would draw nothing until the end, ink.js:262). The stale frame that `debug` draws on
 * a resize event does not come about: a new size arrives as a new context value, never as such an event.
 */
export class InkFrame implements Frame {
  readonly #sink: FrameSink;
  readonly #places: PlaceRegister;
  readonly #ink: Instance;
  #element: ReactNode = null;
  #cells: CellGrid;
  #frame = '';
  #isParsed = true;
  #measured: MeasuredPlace[] | undefined;
  #isClosed = false;

  readonly #events: InkFrameEvents;
  readonly #inputs: Pick<InputListeners, 'listen'>;

  constructor(columns: number, rows: number, events: InkFrameEvents, inputs: Pick<InputListeners, 'listen'>) {
    this.#events = events;
    this.#inputs = inputs;
    this.#cells = new CellGrid(columns, rows);
    this.#sink = new FrameSink(columns, (frame) => this.#take(frame));
    this.#places = new PlaceRegister(() => this.#layoutChanged());
    // Colours that Ink's own props ask for reach the grid; how many the terminal has is decided behind it.
    chalk.level = 2;
    this.#ink = withoutExitHooks(() =>
      render(null, {
        stdout: this.#sink as unknown as NodeJS.WriteStream,
        stderr: new FrameSink(columns, () => {}) as unknown as NodeJS.WriteStream,
        stdin: deafKeyboard(),
        debug: true,
        exitOnCtrlC: false,
        patchConsole: false,
        isScreenReaderEnabled: false,
      }),
    );
  }

  get columns(): number {
    return this.#cells.columns;
  }

  get rows(): number {
    return this.#cells.rows;
  }

  render(element: ReactNode): void {
    this.#element = element;
    this.#renderTree();
  }

  resize(columns: number, rows: number): void {
    if (columns === this.columns && rows === this.rows) return;
    this.#cells = new CellGrid(columns, rows);
    this.#isParsed = false;
    this.#sink.columns = columns;
    this.#renderTree();
    this.#layoutChanged();
  }

  /** Draws labels, dialogs and live boxes into a grid of the frame's size. */
  compose(grid: CellGrid): void {
    if (!this.#isParsed) {
      parseFrame(this.#frame, this.#cells);
      this.#isParsed = true;
    }
    this.#measured ??= this.#places.measure();
    grid.clip();
    grid.copyFrom(this.#cells);
    for (const { place, area } of this.#measured) {
      if (place.kind === 'cover') {
        grid.copyArea(this.#cells, area);
      } else {
        grid.clip(area);
        place.paint(grid, area);
        grid.clip();
      }
    }
  }

  close(): void {
    if (this.#isClosed) return;
    this.#isClosed = true;
    this.#ink.unmount();
  }

  #renderTree(): void {
    const { columns, rows } = this;
    const access = { columns, rows, places: this.#places, listen: this.#inputs.listen };
    this.#ink.rerender(
      <ScreenContext.Provider value={access}>
        <BugBoundary onBug={(error) => this.#events.onBug(error)}>
          <Box width={columns} height={rows} overflow="hidden">
            {this.#element}
          </Box>
        </BugBoundary>
      </ScreenContext.Provider>,
    );
  }

  #take(frame: string): void {
    if (this.#isClosed) return;
    if (frame !== this.#frame) this.#isParsed = false;
    this.#frame = frame;
    this.#layoutChanged();
  }

  #layoutChanged(): void {
    this.#measured = undefined;
    if (!this.#isClosed) this.#events.onChange();
  }
}
