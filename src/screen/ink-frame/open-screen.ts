import type { ReactNode } from 'react';
import type { Key } from '../terminal/key.ts';
import { type TerminalOptions, TerminalScreen } from '../terminal/terminal-screen.ts';
import { InkFrame } from './ink-frame.tsx';

/**
 * The screen on a real terminal. Ink's part changes seldom and is drawn when it does; live boxes are painted
 * at most twelve times a second, while `setLive`'s question is answered yes.
 *
 *     const screen = openScreen({ input: process.stdin, output: process.stdout, depth: 256 });
 *     screen.onKey((key) => { if (key.name === 'ctrl-c') void screen.close(); });
 *     screen.setLive(() => revision() !== drawn);
 *     screen.render(<Everything />);
 *
 * Whoever opens it calls `restore` on every way out (it may be called from an exit handler) and treats ctrl-c
 * and ctrl-z as the keys they are in raw mode.
 */
export interface Screen {
  readonly columns: number;
  readonly rows: number;
  render(element: ReactNode): void;
  /** `needsFrame` is asked at the frame rate; it should cost next to nothing. */
  setLive(needsFrame: () => boolean): void;
  /** Live cells have changed for another reason than the music (a setting, say). */
  requestFrame(): void;
  /** Draws what was rendered before it returns: for the moment before something that takes long. */
  drawNow(): void;
  /** Draws everything anew, after something else wrote on the terminal. */
  repaint(): void;
  /** Returns the function that ends it. Components use `useKeys`. */
  onKey(listener: (key: Key) => void): () => void;
  /** As Ctrl-Z does: gives the terminal back, stops the job, draws everything when it runs on. */
  suspend(): Promise<void>;
  /** Gives the terminal back at once and for good. May be called twice, and in exit handlers. */
  restore(): void;
  /** `restore`, and frees Ink. */
  close(): void;
}

export interface ScreenOptions extends TerminalOptions {
  /** The terminal is gone; it was restored as far as it can be. Default: nothing. */
  readonly onLost?: (reason: string) => void;
  /** A component threw. The terminal was restored before. Default: throws it out of the event loop. */
  readonly onBug?: (error: Error) => void;
  /** Awaited, half a second at most, before the process stops: silence what sounds. */
  readonly beforeStop?: () => void | Promise<void>;
  readonly onContinued?: () => void;
}

export function openScreen(options: ScreenOptions): Screen {
  const terminal = new TerminalScreen(options, {
    draw: (grid) => frame.compose(grid),
    key: (key) => frame.press(key),
    paste: (text) => frame.paste(text),
    resized: (columns, rows) => frame.resize(columns, rows),
    lost: (reason) => options.onLost?.(reason),
    beforeStop: () => options.beforeStop?.(),
    continued: () => options.onContinued?.(),
  });
  const frame = new InkFrame(terminal.columns, terminal.rows, {
    onChange: () => terminal.requestFrame(),
    onBug(error) {
      terminal.restore();
      if (options.onBug !== undefined) options.onBug(error);
      else
        setImmediate(() => {
          throw error;
        });
    },
  });
  terminal.open();
  return {
    get columns() {
      return terminal.columns;
    },
    get rows() {
      return terminal.rows;
    },
    render: (element) => frame.render(element),
    setLive: (needsFrame) => terminal.setLive(needsFrame),
    requestFrame: () => terminal.requestFrame(),
    drawNow: () => terminal.drawNow(),
    repaint: () => terminal.repaint(),
    onKey: (listener) => frame.listen({ key: listener }),
    suspend: () => terminal.suspend(),
    restore: () => terminal.restore(),
    close() {
      terminal.restore();
      frame.close();
    },
  };
}
