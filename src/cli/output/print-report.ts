/**
 * Prints a report to standard output. Settles when it is written or cannot be (`guardOutputs` tells that): whoever ends
 * the process afterwards waits for it.
 */
export function printReport(text: string): Promise<void> {
  return new Promise((resolve) => {
    process.stdout.write(text, () => setImmediate(resolve));
  });
}
