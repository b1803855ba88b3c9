/** One line on a terminal that says what is being done, while it is done. */
export interface StageLine {
  say(words: string): void;
  /** Wipes the line. */
  end(): void;
}

/** On nothing but a terminal: a log wants no line that is wiped again. */
export function stageLine(stream: NodeJS.WriteStream): StageLine {
  if (!stream.isTTY) return { say: () => {}, end: () => {} };
  // ECMA-48 EL: erase the line.
  const wipe = '\r\u001b[2K';
  return { say: (words) => void stream.write(`${wipe}${words} …`), end: () => void stream.write(wipe) };
}
