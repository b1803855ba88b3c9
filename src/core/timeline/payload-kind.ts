/**
 * What a payload row (F0 or F7 event) is, judged once over the whole message it belongs to; playing, checking, the
 * send plan and the report all read this. `broken` and `own` are held back unless the user allows them.
 */
export const PayloadKind = {
  /** No whole SysEx: an escape, a packet without its others, status bytes inside, no F7 at the end, nothing at all. */
  broken: 0,
  /** A whole message of a maker, or a dump: it can overwrite a device's memory. */
  own: 1,
  /** Passes, leaves nothing behind: an inquiry, a time code; and each packet of a divided message. */
  momentary: 2,
  /** Passes, and stays in force until the next of its class: master volume, tuning. */
  lasting: 3,
  /** General MIDI on, off, GM2 on: everything returns to rest. */
  reset: 4,
} as const;

/** True for what goes out only with `--allow-sysex`. */
export function isHeldBack(kind: number): boolean {
  return kind <= PayloadKind.own;
}
