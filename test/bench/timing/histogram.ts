import { readFileSync } from 'node:fs';
import { bucketMicros } from '../../../src/engine/watch/lateness-log.ts';

interface Counted {
  readonly counts: number[];
  readonly worstMicros: number;
}

/** Lateness counted over one or more slices. */
export class Histogram {
  #counts: number[] = [];
  worstMicros = 0;

  /** @param what of the song's messages, or of what somebody played along */
  addFile(path: string, what: 'song' | 'visits' = 'song'): void {
    const file = JSON.parse(readFileSync(path, 'utf8')) as Counted & { readonly visits: Counted };
    const { counts, worstMicros } = what === 'song' ? file : file.visits;
    for (const [bucket, count] of counts.entries())
      this.#counts[bucket] = (this.#counts[bucket] ?? 0) + count;
    this.worstMicros = Math.max(this.worstMicros, worstMicros);
  }

  get count(): number {
    return this.#counts.reduce((sum, count) => sum + count, 0);
  }

  /** Lateness that this share of the messages did not exceed (lower edge of the bucket), in microseconds. */
  quantile(share: number): number {
    const wanted = share * this.count;
    let sum = 0;
    for (const [bucket, count] of this.#counts.entries()) {
      sum += count;
      if (count > 0 && sum >= wanted) return bucketMicros(bucket);
    }
    return Number.NaN;
  }

  /** Messages in each step of a rough logarithmic scale, for a picture. */
  steps(edges: readonly number[]): number[] {
    const sums = edges.map(() => 0);
    for (const [bucket, count] of this.#counts.entries()) {
      const micros = bucketMicros(bucket);
      const step = edges.findLastIndex((edge) => micros >= edge);
      sums[step] = (sums[step] ?? 0) + count;
    }
    return sums;
  }
}
