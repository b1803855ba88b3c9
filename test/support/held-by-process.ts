import { readdirSync } from 'node:fs';

/** What this process holds: open descriptors (as Linux lists them), and timers that keep it alive. */
export function heldByProcess(): { readonly descriptors: number; readonly timers: number } {
  return {
    descriptors: descriptors(),
    timers: process.getActiveResourcesInfo().filter((kind) => kind === 'Timeout').length,
  };
}

function descriptors(): number {
  try {
    return readdirSync('/proc/self/fd').length;
  } catch {
    return 0; // elsewhere only timers are counted
  }
}
