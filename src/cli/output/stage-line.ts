/** One line on a terminal that says what is being done, while it is done. */
export interface StageLine {
  say(words: string): void;
  /** Wipes the line. */
  end(): void;
}

/** On nothing but a terminal: a log wants no line that is wiped again. */
export function stageLine(stream: NodeJS.WriteStream): StageLine {
  if (!stream.isTTY) return { say: () => {}, end: () => {} };
  let width = 0;
  // Written over with spaces: a terminal that knows no control sequence does that too.
  const wipe = () => (width === 0 ? '\r' : `\r${' '.repeat(width)}\r`);
  return {
    say(words) {
      const line = `${words} …`;
      stream.write(`${wipe()}${line}`);
      width = line.length;
    },
    end: () => void stream.write(wipe()),
  };
}
