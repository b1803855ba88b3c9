/** How long a test waits for what must come: a limit for what hangs, below the limit of the test itself (vitest.config.ts). */
export const WAIT_MILLIS = 45_000;
