/** Said after the first ctrl-c where visitors are at the keys: whoever ends a show there has to mean it. */
export const ONCE_MORE = 'ctrl-c once more ends the show';

const ONCE_MORE_MICROS = 2_000_000;

/** Whether a second ctrl-c belongs to a first one. Both times on the same clock. */
export function isOnceMore(firstMicros: number, nowMicros: number): boolean {
  return nowMicros - firstMicros < ONCE_MORE_MICROS;
}
