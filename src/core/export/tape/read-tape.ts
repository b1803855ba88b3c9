import type { WavSound } from './read-wav.ts';
import { tapeBytes } from './tape-bytes.ts';
import { TAPE_BAUDS, type TapeBaud } from './tape-format.ts';
import { readTapePasses, type TapeReading } from './tape-passes.ts';
import { zeroCrossings } from './zero-crossings.ts';

export interface TapeRead extends TapeReading {
  readonly baud: TapeBaud;
}

/**
 * Reads one or several recordings of the same tape. Which of the two rates it was made at is found by trying: the
 * one that gives more whole blocks. @param progress told which recording is worked on, and which share of it is done
 */
export function readTape(
  passes: readonly WavSound[],
  progress: (pass: number, share: number) => void = () => {},
): TapeRead {
  const crossings = passes.map(({ samples, sampleRate }, pass) =>
    zeroCrossings(samples, sampleRate, (share) => progress(pass, share)),
  );
  const tried = TAPE_BAUDS.map((baud) => ({
    baud,
    ...readTapePasses(crossings.map((found) => tapeBytes(found, baud))),
  }));
  return tried.reduce((best, one) => (one.blocks.length > best.blocks.length ? one : best));
}
