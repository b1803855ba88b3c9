import type { ReactNode } from 'react';
import type { Key } from '../terminal/key.ts';
import type { TerminalScreen } from '../terminal/terminal-screen.ts';
import { InkFrame } from './ink-frame.tsx';

/**
 * The screen on a real terminal. Ink's part changes seldom and is drawn when it does; live boxes are painted
 * at most twelve times a second, while `setLive`'s question is answered yes.
 *
 *     const screen = openScreen({ input: process.stdin, output: process.stdout, depth: 256 });
 *     screen.onKey((key) => { if (key.name === 'ctrl-c') void screen.close(); });
 *     screen.setLive(() => revision() !== drawn);
 *     screen.render(<Everything />);
 */
export interface Screen {
  readonly columns: number;
  readonly rows: number;
  /** The first call takes the place of what the terminal showed before, as a difference from it. */
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

export interface InkScreenOptions {
  /** A component threw. The terminal was restored before. Default: throws it out of the event loop. */
  readonly onBug?: ((error: Error) => void) | undefined;
}

/** Ink on a terminal that is open already or about to be. */
export function inkScreen(terminal: TerminalScreen, { onBug }: InkScreenOptions = {}): Screen {
  const events = {
    onChange: () => terminal.requestFrame(),
    onBug(error: Error): void {
      terminal.restore();
      if (onBug !== undefined) onBug(error);
      else
        setImmediate(() => {
          throw error;
        });
    },
  };
  const frame = new InkFrame(terminal.columns, terminal.rows, events, terminal.inputs);
  return {
    get columns() {
      return terminal.columns;
    },
    get rows() {
      return terminal.rows;
    },
    render(element) {
      // The size may be another one than when Ink was loaded.
      frame.resize(terminal.columns, terminal.rows);
      frame.render(element);
      terminal.show(frame);
    },
    setLive: (needsFrame) => terminal.setLive(needsFrame),
    requestFrame: () => terminal.requestFrame(),
    drawNow: () => terminal.drawNow(),
    repaint: () => terminal.repaint(),
    onKey: (listener) => terminal.inputs.listen({ key: listener }),
    suspend: () => terminal.suspend(),
    restore: () => terminal.restore(),
    close() {
      terminal.restore();
      frame.close();
    },
  };
}
