import { closeSync, fstatSync } from 'node:fs';

/**
 * Lets the process end in good order after its terminal has gone. At the end Node sets the modes of standard
 * input, output and error back, and aborts when the system refuses (node.cc, ResetStdio: only EPERM is borne);
 * a terminal that hung up refuses with EIO. A descriptor that is closed by then is passed over. They are closed
 * at the very end, so that nothing opened meanwhile takes their numbers.
 */
export function endWithoutTerminal(descriptor: number): void {
  const device = deviceOf(descriptor);
  // The system may tell of the hang-up more than once; the later ones must not end what the first began.
  process.on('SIGHUP', () => {});
  process.once('exit', () => {
    for (const standard of [0, 1, 2]) {
      if (device === undefined || deviceOf(standard) !== device) continue;
      try {
        closeSync(standard);
      } catch {
        // Closed already: just as good.
      }
    }
  });
}

/** The number of the character device behind a descriptor. */
function deviceOf(descriptor: number): number | undefined {
  try {
    const status = fstatSync(descriptor);
    return status.isCharacterDevice() ? status.rdev : undefined;
  } catch {
    return undefined;
  }
}
