import type { Verified } from '../../board/verify-song.ts';
import type { MemoryAdvice } from '../../core/export/prepare-advice.ts';
import type { PreparedSong } from '../../core/export/prepare-song.ts';
import { counted } from '../../core/report/figure-text.ts';
import { type Fitted, fittedWords } from '../fit/fitted-song.ts';

/** `prepare --json`; the fields and their units are in docs/prepare.md. */
export interface PrepareReport {
  readonly schema: 'wirepit-prepare/1';
  readonly file: string;
  readonly board: string;
  readonly fits: boolean;
  readonly bytes: {
    readonly stream: number;
    readonly player: number;
    readonly stack: number;
    readonly free: number;
  };
  readonly loadAddress: number;
  readonly startAddress: number;
  readonly gridMicros: number;
  readonly gridErrorMaxMicros: number;
  readonly worstLateMicros: number;
  readonly events: number;
  readonly tapeSeconds: number;
  readonly verified: Verified | null;
  /** Null where no instrument was named. */
  readonly fitted: FitReport | null;
  readonly changed: AdviceReport | null;
  readonly advice: readonly AdviceReport[];
}

export interface FitReport {
  readonly instrument: string;
  readonly lossBeforePercent: number;
  readonly lossAfterPercent: number;
  readonly isAsWritten: boolean;
}

export interface AdviceReport {
  readonly kind: MemoryAdvice['kind'];
  readonly value: number;
  readonly bytes: number;
  readonly fits: boolean;
}

export function fitReport({ loaded: _, ...report }: Fitted): FitReport {
  return report;
}

export function adviceReport({ kind, value, bytes, fits }: MemoryAdvice): AdviceReport {
  return { kind, value: kind === 'leave-out-channel' ? value + 1 : value, bytes, fits };
}

export function bytesOf({ image, stackBytes, freeBytes }: PreparedSong): PrepareReport['bytes'] {
  return { stream: image.streamBytes, player: image.playerBytes, stack: stackBytes, free: freeBytes };
}

const ms = (micros: number) => `${(micros / 1000).toFixed(2)} ms`;

export function adviceWords({ kind, value, bytes, fits }: AdviceReport): string {
  const what = {
    thin: `--thin ${value}`,
    'coarser-grid': `--grid-error ${value}`,
    'leave-out-channel': `channel ${value} left out`,
  }[kind];
  return `${what}: ${counted(bytes, 'byte')}${fits ? ', fits' : ''}`;
}

/** The report as lines for a person. */
export function prepareLines(report: PrepareReport): string[] {
  const { bytes, verified } = report;
  const hex = (address: number) => address.toString(16).toUpperCase().padStart(4, '0');
  const lines = [
    `${report.file} on ${report.board}`,
    `  memory   song ${bytes.stream}, player ${bytes.player}, stack ${bytes.stack} bytes; ${
      report.fits ? `${bytes.free} free` : `${-bytes.free} too many`
    }`,
    `  load     at ${hex(report.loadAddress)}h, start at ${hex(report.startAddress)}h; ${Math.round(report.tapeSeconds)} s of tape`,
    `  grid     ${ms(report.gridMicros)}, moves a message by ${ms(report.gridErrorMaxMicros)} at most`,
    `  late     ${ms(report.worstLateMicros)} at most, by the account of every path (${report.events} messages)`,
  ];
  if (report.fitted !== null) lines.push(`  fit      ${fittedWords(report.fitted)}`);
  if (verified !== null)
    lines.push(
      `  verified ${verified.equal} of ${verified.bytes} bytes equal; late ${ms(verified.p50LateMicros)} at the median, ${ms(verified.worstLateMicros)} at most; bytes ${Math.round(verified.shortestGapMicros)} µs apart or more; ${verified.strayAccesses} accesses outside its memory`,
    );
  if (report.worstLateMicros > 3000)
    lines.push('  This clock is slow for this song: a faster one makes it less late.');
  if (report.changed !== null) lines.push(`  changed  ${adviceWords(report.changed)}`);
  if (report.advice.length > 0) lines.push('  what would help:');
  for (const advice of report.advice) lines.push(`    ${adviceWords(advice)}`);
  return lines;
}
