import type { Dialog } from '../state/screen-state.ts';

const TEXT_ROWS = 3;

/** A notch of the wheel is the arrow key: from lane to lane, from row to row of a list; texts go by three rows. */
export function keysOfWheel(wheel: 'wheel-up' | 'wheel-down', dialog: Dialog): string[] {
  const rows = dialog === 'help' || dialog === 'log' ? TEXT_ROWS : 1;
  return Array.from({ length: rows }, () => (wheel === 'wheel-up' ? 'up' : 'down'));
}
