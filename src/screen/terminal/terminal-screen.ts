// Length: the one owner of the terminal: every way in and out of it is here, so that none is forgotten.
import type { WriteStream } from 'node:tty';
import { CellGrid } from '../cells/cell-grid.ts';
import { CellDifference } from './cell-difference.ts';
import type { ColourDepth } from './colour-depth.ts';
import type { Frame } from './frame.ts';
import { FramePace } from './frame-pace.ts';
import { InputListeners } from './input-listeners.ts';
import type { TerminalInput } from './key-decoder.ts';
import { Keyboard, type TerminalInputStream } from './keyboard.ts';
import { lineBytesPerSecond } from './line-speed.ts';
import { endWithoutTerminal } from './lost-terminal.ts';
import * as modes from './mode-sequences.ts';
import { Suspension } from './suspension.ts';
import { TtyOutput } from './tty-output.ts';

export interface TerminalOptions {
  readonly input: TerminalInputStream;
  /** Only its descriptor, size and resize event are used; nothing is written through it. */
  readonly output: WriteStream & { readonly fd: number };
  readonly depth: ColourDepth;
  readonly isAscii?: boolean;
  /** Asks the terminal for mouse presses, which are then no longer its own (to select text, say). */
  readonly mouse?: boolean;
}

export interface TerminalEvents {
  /** The terminal is gone (line dropped, window closed); it was restored as far as it can be. Told once. */
  readonly onLost?: (reason: string) => void;
  /** Awaited, half a second at most, before job control stops the process: silence what sounds. */
  readonly beforeStop?: () => void | Promise<void>;
  readonly onContinued?: () => void;
}

/**
 * Owns the terminal: alternate screen, raw keys, one frame at a time. A frame is differenced only when the last
 * one is written and the pace allows; what changes in between goes into the next one, nothing queues. Whatever
 * the terminal does, this thread never waits for it. Whoever opens it calls `restore` on every way out, and
 * treats ctrl-c and ctrl-z as the keys they are in raw mode.
 */
export class TerminalScreen {
  /** Keys and pastes; what is typed before anyone listens is kept. */
  readonly inputs = new InputListeners();
  readonly #out: TtyOutput;
  readonly #keyboard: Keyboard;
  readonly #suspension: Suspension;
  readonly #difference: CellDifference;
  #pace = new FramePace();
  #grid: CellGrid;
  #frame: Frame | undefined;
  #needsFrame: (() => boolean) | undefined;
  #isDirty = true;
  #isOurs = false;
  #isOver = false;
  #isSynchronizing = false;
  #timer: NodeJS.Timeout | undefined;
  #lineTimer: NodeJS.Timeout | undefined;
  #soon: NodeJS.Immediate | undefined;

  readonly #options: TerminalOptions;
  readonly #events: TerminalEvents;

  constructor(options: TerminalOptions, events: TerminalEvents = {}) {
    this.#options = options;
    this.#events = events;
    this.#difference = new CellDifference(options.depth, options.isAscii);
    this.#out = new TtyOutput(options.output.fd);
    this.#grid = this.#sizedGrid();
    this.#keyboard = new Keyboard(options.input, {
      input: (input) => this.#take(input),
      lost: (reason) => this.#lose(reason),
    });
    this.#suspension = new Suspension({
      beforeStop: () => events.beforeStop?.(),
      leave: () => this.#leave(),
      comeBack: () => this.#comeBack(),
    });
  }

  get columns(): number {
    return this.#grid.columns;
  }

  get rows(): number {
    return this.#grid.rows;
  }

  open(): void {
    this.#suspension.install();
    process.on('SIGHUP', this.#hungUp);
    this.#options.output.on('resize', this.#resized);
    this.#takeOver();
  }

  /** From now on this is what is drawn, as a difference from what is there. */
  show(frame: Frame): void {
    this.#frame = frame;
    this.requestFrame();
  }

  /** Asked at the frame rate whether live cells have changed; a frame is drawn only where it says yes. */
  setLive(needsFrame: () => boolean): void {
    this.#needsFrame = needsFrame;
    this.#plan();
  }

  /** Something has changed: a frame as soon as the pace allows. Any number of calls are one frame. */
  requestFrame(): void {
    this.#isDirty = true;
    if (this.#isOurs && this.#soon === undefined) this.#soon = setImmediate(this.#attempt);
  }

  /** Draws what has changed before it returns, if a frame may go: for the moment before a long computation. */
  drawNow(): void {
    this.#isDirty = true;
    this.#attempt();
  }

  /** Draws everything anew, for a screen that something else has written into. */
  repaint(): void {
    this.#difference.forget();
    this.requestFrame();
  }

  /** Stops the process as the shell's job control does; settles when the stop is under way. */
  suspend(): Promise<void> {
    return this.#suspension.stop();
  }

  /**
   * Gives the terminal back as it was, at once; may be called from an exit handler and more than once. The
   * screen is over after it.
   */
  restore(): void {
    if (this.#isOver) return;
    this.#isOver = true;
    this.#suspension.uninstall();
    process.off('SIGHUP', this.#hungUp);
    this.#options.output.off('resize', this.#resized);
    this.#leave();
    this.#out.close();
  }

  #takeOver(): void {
    if (this.#isOver || this.#isOurs) return;
    this.#isOurs = true;
    this.#keyboard.open();
    const pace = new FramePace();
    this.#pace = pace;
    // To start a program costs the first frame five milliseconds, and a terminal that answers needs it not.
    this.#lineTimer = setTimeout(() => void this.#askLine(pace), SILENT_MILLIS).unref();
    this.#difference.forget();
    this.#isDirty = true;
    const mouse = this.#options.mouse ? modes.MOUSE_ON : '';
    this.#send(Buffer.from(modes.TAKE_OVER + mouse + modes.ASK_SYNCHRONIZED + modes.ASK_READY), true);
  }

  /** Asks the system what the line carries, as the terminal behind it has not answered. */
  async #askLine(pace: FramePace): Promise<void> {
    if (pace.isAnswered) return;
    const rate = await lineBytesPerSecond(this.#options.output.fd);
    if (rate !== undefined) pace.lineCarries(rate);
  }

  #leave(): void {
    if (!this.#isOurs) return;
    this.#isOurs = false;
    clearTimeout(this.#timer);
    clearTimeout(this.#lineTimer);
    clearImmediate(this.#soon);
    this.#soon = undefined;
    const mouse = this.#options.mouse ? modes.MOUSE_OFF : '';
    this.#out.writeNow((this.#isSynchronizing ? modes.END_SYNCHRONIZED : '') + mouse + modes.GIVE_BACK);
    if (this.#pace.isAsking) this.#keyboard.swallowAnswer();
    this.#keyboard.close();
  }

  #comeBack(): void {
    this.#takeOver();
    // Sizes changed while another job had the terminal were told to that one; this makes Node look again.
    process.kill(process.pid, 'SIGWINCH');
    this.#events.onContinued?.();
  }

  readonly #hungUp = (): void => this.#lose('SIGHUP');

  #lose(reason: string): void {
    if (this.#isOver) return;
    endWithoutTerminal(this.#options.output.fd);
    this.restore();
    this.#events.onLost?.(reason);
  }

  #sizedGrid(): CellGrid {
    const [columns, rows] = this.#options.output.getWindowSize();
    // Some terminals say 0 by 0 until they know (serial lines); 80 by 24 is what they have been for long.
    return new CellGrid(columns || 80, rows || 24);
  }

  readonly #resized = (): void => {
    if (!this.#isOurs) return;
    const grid = this.#sizedGrid();
    if (grid.columns !== this.columns || grid.rows !== this.rows) {
      this.#grid = grid;
      this.#frame?.resize(grid.columns, grid.rows);
    }
    // What a terminal makes of its old contents at a resize is its own affair.
    this.repaint();
  };

  #take(input: TerminalInput): void {
    if (!this.#isOurs) return;
    if (input.kind !== 'report') this.inputs.take(input);
    else if (input.letters === modes.READY_LETTERS) {
      this.#pace.answered(performance.now());
      this.#plan();
    } else if (input.letters === modes.MODE_LETTERS && input.parameters[0] === modes.SYNCHRONIZED_MODE) {
      // 0: not known, 4: can never be switched on (DECRQM).
      this.#isSynchronizing = input.parameters[1] !== 0 && input.parameters[1] !== 4;
    }
  }

  /** Sets the timer to the next moment at which a frame may be drawn, or live cells be looked at. */
  #plan(): void {
    clearTimeout(this.#timer);
    if (!this.#isOurs || this.#out.isBusy) return;
    if (!this.#isDirty && this.#needsFrame === undefined) return;
    const wait = Math.max(1, this.#pace.earliest(this.#isDirty) - performance.now());
    this.#timer = setTimeout(this.#attempt, Math.min(wait, LONGEST_SLEEP_MILLIS));
  }

  readonly #attempt = (): void => {
    this.#soon = undefined;
    if (!this.#isOurs || this.#out.isBusy) return;
    const now = performance.now();
    if (now >= this.#pace.earliest(this.#isDirty)) {
      if (this.#isDirty || this.#needsFrame?.() === true) this.#drawFrame(now);
      // Nothing moves: it is looked at again when the next frame would be due.
      else this.#pace.drawn(now, false);
    }
    this.#plan();
  };

  #drawFrame(now: number): void {
    const isUrgent = this.#isDirty;
    this.#isDirty = false;
    if (this.#frame === undefined) return;
    this.#frame.compose(this.#grid);
    if (!this.#isOurs) return;
    const cells = this.#difference.encode(this.#grid);
    this.#pace.drawn(now, isUrgent);
    if (cells.length === 0) return;
    const isAsking = this.#pace.shouldAsk(now, cells.length);
    const isLarge = this.#isSynchronizing && cells.length > LARGE_FRAME_BYTES;
    const before = isLarge ? modes.BEGIN_SYNCHRONIZED : '';
    const after = (isLarge ? modes.END_SYNCHRONIZED : '') + (isAsking ? modes.ASK_READY : '');
    // The difference's buffer is free again only when the write is over, which is when the next frame is made.
    const bytes =
      before + after === '' ? cells : Buffer.concat([Buffer.from(before), cells, Buffer.from(after)]);
    this.#send(bytes, isAsking);
  }

  #send(bytes: Uint8Array, isAsking: boolean): void {
    this.#pace.writing(performance.now(), bytes.length, isAsking);
    this.#out.write(bytes, (error) => {
      if (error !== undefined) {
        this.#lose(error.code ?? error.message);
        return;
      }
      this.#pace.written(performance.now());
      this.#plan();
    });
  }
}

/** A full 80x24 screen is some 2 to 3 kB, a frame of live cells a few hundred bytes. */
const LARGE_FRAME_BYTES = 1024;
const LONGEST_SLEEP_MILLIS = 1000;
/** After so long without an answer the line itself is asked; frames wait for the answer longer than that. */
const SILENT_MILLIS = 300;
