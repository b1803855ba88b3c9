import { setImmediate } from 'node:timers/promises';
import type { ReactNode } from 'react';
import { CellGrid } from '../cells/cell-grid.ts';
import { gridText } from '../cells/grid-text.ts';
import { InputListeners } from '../terminal/input-listeners.ts';
import { keyNamed } from '../terminal/key.ts';
import { InkFrame } from './ink-frame.tsx';

/** A screen without a terminal: the same layout, painters and keys, read as cells. */
export interface TestScreen {
  render(element: ReactNode): void;
  /** Presses keys by name, one after the other, and lets React finish after each. */
  press(...keyNames: string[]): Promise<void>;
  paste(text: string): Promise<void>;
  resize(columns: number, rows: number): void;
  /** Lets effects and state changes that are under way finish. */
  settle(): Promise<void>;
  /** The whole screen now, live boxes painted. */
  grid(): CellGrid;
  text(): string;
  close(): void;
}

/** Throws what a component has thrown, at the next look. */
export function openTestScreen(columns: number, rows: number): TestScreen {
  let bug: Error | undefined;
  let changes = 0;
  const inputs = new InputListeners();
  const events = {
    onChange: () => {
      changes += 1;
    },
    onBug: (error: Error) => {
      bug = error;
    },
  };
  const frame = new InkFrame(columns, rows, events, inputs);

  async function settle(): Promise<void> {
    let seen: number;
    do {
      seen = changes;
      // React's scheduler runs a task in each turn; two turns without a change mean that nothing is queued.
      await setImmediate();
      await setImmediate();
    } while (changes !== seen);
  }

  function grid(): CellGrid {
    if (bug !== undefined) throw bug;
    const cells = new CellGrid(frame.columns, frame.rows);
    frame.compose(cells);
    return cells;
  }

  return {
    render: (element) => frame.render(element),
    async press(...keyNames) {
      for (const name of keyNames) {
        await settle();
        inputs.take({ kind: 'key', key: keyNamed(name) });
        await settle();
      }
    },
    async paste(text) {
      await settle();
      inputs.take({ kind: 'paste', text });
      await settle();
    },
    resize: (newColumns, newRows) => frame.resize(newColumns, newRows),
    settle,
    grid,
    text: () => gridText(grid()),
    close: () => frame.close(),
  };
}
