/** A progress bar on one line of a terminal, or nothing where there is none. */
export interface Progress {
  step(): void;
  /** Wipes the line. */
  end(): void;
}

const WIDTH = 30;
const EVERY_MS = 80;

export function startProgress(total: number, stream: NodeJS.WriteStream, ascii: boolean): Progress {
  if (!stream.isTTY || total < 2) return { step: () => {}, end: () => {} };
  const widest = WIDTH + ` ${total} of ${total} songs`.length;
  let count = 0;
  let drawnAt = 0;
  const [full, empty] = ascii ? ['#', '-'] : ['█', '░'];
  const draw = () => {
    const filled = Math.round((count / total) * WIDTH);
    stream.write(`\r${full!.repeat(filled)}${empty!.repeat(WIDTH - filled)} ${count} of ${total} songs`);
  };
  return {
    step() {
      count += 1;
      const now = Date.now();
      if (now - drawnAt < EVERY_MS && count < total) return;
      drawnAt = now;
      draw();
    },
    // Written over with spaces: a terminal that knows no control sequence does that too.
    end: () => void stream.write(`\r${' '.repeat(widest)}\r`),
  };
}
