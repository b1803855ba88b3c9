import { createHook } from 'node:async_hooks';
import { readdirSync, readlinkSync } from 'node:fs';
import { until } from './pty-pair.ts';

/** What this process has opened or begun since a moment: descriptors (as Linux lists them) and timers. */
export interface Held {
  /** What of it is still there, a few words each; timers of the runner may be among them. */
  now(): string[];
  /** Waits until nothing of it is; says what is. */
  givenBack(): Promise<void>;
}

/**
 * Begins to look. By their identities and not by their number: what others close meanwhile does not make up for what is
 * kept, and a runner's own timers come to their end.
 */
export function heldFromNow(): Held {
  const before = new Set(descriptors());
  const timers = new Set<{ _destroyed?: boolean; _idleTimeout?: number }>();
  const hook = createHook({
    init(_id, type, _trigger, resource) {
      if (type === 'Timeout') timers.add(resource);
    },
  }).enable();
  const now = (): string[] => [
    ...descriptors().filter((one) => !before.has(one)),
    ...[...timers].filter((one) => one._destroyed === false).map((one) => `timer of ${one._idleTimeout} ms`),
  ];
  return {
    now,
    async givenBack() {
      hook.disable();
      await until(
        () => now().length === 0,
        () => `the return of ${now().join(', ')}`,
      );
    },
  };
}

/** Number and what it is: a second opening of the same may have the same number. */
function descriptors(): string[] {
  try {
    return readdirSync('/proc/self/fd').flatMap((fd) => {
      try {
        return [`descriptor ${fd} of ${readlinkSync(`/proc/self/fd/${fd}`)}`];
      } catch {
        return []; // the one that lists them
      }
    });
  } catch {
    return []; // elsewhere only timers are looked at
  }
}
