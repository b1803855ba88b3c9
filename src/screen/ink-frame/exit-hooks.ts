/**
 * Runs `start` and takes back what it hung onto the process: listeners, and other functions for `emit` and
 * `reallyExit`. Ink installs signal and exit hooks when it mounts (ink.js:147, through signal-exit 3); here the
 * terminal is restored by `terminal/`, and how a signal ends the program is decided in `cli/` alone.
 */
export function withoutExitHooks<Result>(start: () => Result): Result {
  const before = new Map(process.eventNames().map((name) => [name, process.rawListeners(name as 'exit')]));
  const replaced = process as unknown as Record<string, unknown>;
  const functions = REPLACED.map((name) => ({
    name,
    isOwn: Object.hasOwn(process, name),
    value: replaced[name],
  }));
  try {
    return start();
  } finally {
    for (const { name, isOwn, value } of functions) {
      if (isOwn) replaced[name] = value;
      else delete replaced[name];
    }
    for (const name of process.eventNames()) {
      for (const listener of process.rawListeners(name as 'exit')) {
        if (!before.get(name)?.includes(listener)) process.removeListener(name, listener as () => void);
      }
    }
  }
}

const REPLACED = ['emit', 'reallyExit'] as const;
