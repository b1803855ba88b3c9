/** Being struck counts like so many seconds of sound. */
const STRIKE_SECONDS = 0.15;
/** A note cut sooner than this was hardly struck. */
const STRUCK_SECONDS = 0.05;

/**
 * What is heard of a note that sounds for `seconds` of its `wholeSeconds`, in units of its weight.
 * @param decay seconds in which it dies away
 */
export function heardValue(seconds: number, wholeSeconds: number, decay: number): number {
  if (seconds <= 0 && wholeSeconds > 0) return 0;
  const enough = Math.min(STRUCK_SECONDS, wholeSeconds);
  const struck = seconds >= enough ? 1 : seconds / enough;
  return STRIKE_SECONDS * struck + decay * (1 - Math.exp(-seconds / decay));
}
