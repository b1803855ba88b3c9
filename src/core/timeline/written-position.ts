import type { Timeline } from './timeline.ts';

/**
 * Song time (µs) of a position as a person writes it: `17` or `17:3` is bar and beat, `90s`, `1m30s` or
 * `1m30.5s` a time, anything else the beginning of a marker's text. Undefined where it is none of them.
 */
export function writtenPosition(text: string, timeline: Timeline): number | undefined {
  const barBeat = /^(\d{1,6})(?::(\d{1,3}))?$/.exec(text);
  if (barBeat) {
    const tick = timeline.meterMap.tickOf(
      Math.max(1, Number(barBeat[1])),
      Math.max(1, Number(barBeat[2] ?? 1)),
    );
    return within(timeline.tempoMap.microsAt(tick), timeline);
  }
  const time = /^(?:(\d{1,4})m)?(?:(\d{1,6}(?:\.\d{1,6})?)s)?$/.exec(text);
  if (time && text !== '') {
    return within(Math.round((Number(time[1] ?? 0) * 60 + Number(time[2] ?? 0)) * 1e6), timeline);
  }
  const wanted = text.trim().toLowerCase();
  if (wanted === '') return undefined;
  return timeline.markers.find((marker) => marker.text.trim().toLowerCase().startsWith(wanted))?.micros;
}

function within(micros: number, timeline: Timeline): number {
  return Math.min(micros, timeline.durationMicros);
}
