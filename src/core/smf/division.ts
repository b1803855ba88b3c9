import type { FindingList } from './finding-list.ts';
import type { Division, SmpteRate } from './song.ts';
import type { SongFindingCode } from './song-findings.ts';

/** Taken where the header gives nothing: the commonest resolution of sequencers (common practice, no source). */
export const ASSUMED_TICKS_PER_QUARTER = 480;

/** Taken with 0 ticks a frame: the resolution of the standard's own example, E250 hex (SMF 1.1, 2.1). */
const ASSUMED_TICKS_PER_FRAME = 80;

const ASSUMED_RATE: SmpteRate = 30;

const RATES: readonly SmpteRate[] = [24, 25, 29, 30];

/** Reads the header's division (SMF 1.1, section 2.1): 16 bits, the top one says which kind. */
export function readDivision(word: number, at: number, findings: FindingList<SongFindingCode>): Division {
  if (word < 0x8000) {
    if (word > 0) return { kind: 'quarter', ticksPerQuarter: word };
    findings.add('division-zero', at, { ticks: ASSUMED_TICKS_PER_QUARTER });
    return { kind: 'quarter', ticksPerQuarter: ASSUMED_TICKS_PER_QUARTER };
  }
  const said = 256 - (word >> 8);
  const rate = RATES.find((known) => known === said);
  if (rate === undefined) findings.add('division-rate', at, { rate: said, assumed: ASSUMED_RATE });
  const ticks = word & 0xff;
  if (ticks === 0) findings.add('division-ticks', at, { ticks: ASSUMED_TICKS_PER_FRAME });
  return {
    kind: 'smpte',
    framesPerSecond: rate ?? ASSUMED_RATE,
    ticksPerFrame: ticks > 0 ? ticks : ASSUMED_TICKS_PER_FRAME,
  };
}

/** The 16 bits that say it in a header. */
export function divisionWord(division: Division): number {
  if (division.kind === 'quarter') return division.ticksPerQuarter;
  return ((256 - division.framesPerSecond) << 8) | division.ticksPerFrame;
}
