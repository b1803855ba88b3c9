import type { CauseCode } from '../cause.ts';
import { LEAST_PPM } from '../clock-fit.ts';
import type { Evidence } from './evidence.ts';

/** Causes that lie in how time is made of ticks. */
export function wrongTime({
  timeline,
  written,
  heard,
  matched,
  clock,
  grainMicros,
}: Evidence): [CauseCode, string][] {
  const { law } = matched;
  if (!heard.hasTimes) return [];
  const { on } = heard;
  const seconds = (micros: number) => (micros / 1e6).toFixed(1);
  const heardSpan = on.count > 1 ? on.micros[on.count - 1]! - on.micros[0]! : 0;
  const songSpan = written.count > 1 ? written.micros[written.count - 1]! - written.micros[0]! : 0;
  if (law === 'no-timing') {
    if (heardSpan > 0.6 * songSpan) return [];
    return [
      [
        'no-timing',
        `${on.count} notes came within ${seconds(heardSpan)} s, as fast as the wire takes them; they are written to last ${seconds(songSpan)} s`,
      ],
    ];
  }
  const found: [CauseCode, string][] = [];
  if (law === 'tracks-in-turn') {
    const tracks = new Set(written.track).size;
    found.push([
      'tracks-in-turn',
      `the ${tracks} tracks that have notes came one after another, in ${seconds(heardSpan)} s instead of ${seconds(songSpan)} s`,
    ]);
    return found;
  }
  if (law === 'first-tempo' || law === 'tempo-120') {
    const changes = timeline.tempoMap.stretches.length - 1;
    const first = timeline.tempoMap.stretches[1];
    const tempo = law === 'tempo-120' ? 120 : 60_000_000 / timeline.tempoMap.stretches[0]!.microsPerQuarter;
    const where = first === undefined ? '' : `, first at bar ${timeline.meterMap.barBeatAt(first.tick).bar}`;
    const wanted =
      changes > 0
        ? `the song changes its tempo ${changes} ${changes === 1 ? 'time' : 'times'}${where}`
        : 'the song has another one';
    found.push([
      'tempo-ignored',
      `every note stands where a tempo of ${Math.round(tempo)} throughout puts it; ${wanted}`,
    ]);
  }
  if (clock.lostPerMessageMicros > 0) {
    const each = (clock.lostPerMessageMicros / 1000).toFixed(2);
    found.push([
      'slow-adds-up',
      `with every message ${each} ms are lost for good, ${seconds(clock.lostMicros)} s in all`,
    ]);
  }
  const ppm = (clock.line.rate - 1) * 1e6;
  // Over a short recording the receiver's own coarseness looks like a clock.
  const doubt =
    4 * clock.line.rateError * 1e6 +
    (heardSpan > 0 ? (2 * grainMicros * 1e6) / heardSpan : Number.POSITIVE_INFINITY);
  if (Math.abs(ppm) > LEAST_PPM + doubt) {
    const way = ppm > 0 ? 'slow' : 'fast';
    found.push([
      'clock-rate',
      `the player's clock is ${(Math.abs(ppm) / 10_000).toFixed(3)} % ${way}: ${seconds(Math.abs(ppm / 1e6) * timeline.durationMicros)} s over the song`,
    ]);
  }
  return found;
}
