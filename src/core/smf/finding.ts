/** `note` changes nothing one hears; `warning` may; `problem` does. */
export type Severity = 'note' | 'warning' | 'problem';

/** Something in the song its owner should know. Work goes on; a finding is never an error. */
export interface Finding {
  readonly code: string;
  readonly severity: Severity;
  /** Byte offset in the file, or -1 where no one byte is to blame. */
  readonly offset: number;
  /** One plain sentence for a person. */
  readonly text: string;
}

/**
 * A row of a table of findings. In the sentence `{name}` is replaced by the value of that name, and
 * `{count bytes}` by the value with its noun: 1 byte, 2 bytes.
 */
export interface FindingKind {
  readonly severity: Severity;
  readonly sentence: string;
}
