import type { Command } from '../../core/schedule/command.ts';
import type { Timeline } from '../../core/timeline/timeline.ts';
import { Refusal } from '../../trouble/refusal.ts';
import type { FlagsOf } from './flags-of.ts';
import { songPositionOf } from './song-position.ts';

export type PlayFlags = FlagsOf<'play'>;

/** The commands that put a run into the state the flags ask for, before anything is sent. */
export function setupOf(flags: PlayFlags, timeline: Timeline): Command[] {
  const setup: Command[] = [];
  for (const channel of flags.mute ?? []) setup.push({ kind: 'mute', channel, on: true });
  for (const channel of flags.solo ?? []) setup.push({ kind: 'solo', channel, on: true });
  if (flags.tempo !== 100) setup.push({ kind: 'tempo-scale', scale: flags.tempo / 100 });
  if (flags.transpose !== 0) setup.push({ kind: 'transpose', semitones: flags.transpose });
  if (flags.loop !== undefined) setup.push(loopOf(flags.loop, flags.clock, timeline));
  return setup;
}

/** Where a song begins and ends, as flags and sets write it. */
interface Stretch {
  readonly from?: string | undefined;
  readonly to?: string | undefined;
}

/** Song time to start at. */
export function startOf(flags: Stretch, timeline: Timeline): number {
  if (flags.from === undefined) return 0;
  const micros = songPositionOf(flags.from, timeline);
  if (micros === undefined) {
    throw new Refusal(
      `'${flags.from}' is no place in this song`,
      '--from',
      'write 17:3, 1m30s, or how a marker begins',
    );
  }
  if (micros > 0 && micros >= timeline.durationMicros) {
    const { bar } = timeline.meterMap.barBeatAt(timeline.endTick);
    throw new Refusal(`'${flags.from}' is not before the end`, '--from', `the song ends in bar ${bar}`);
  }
  return micros;
}

/** Where the song is to end; undefined: where it is written to end. */
export function endOf(flags: Stretch, timeline: Timeline): { micros: number; tick: number } | undefined {
  if (flags.to === undefined) return undefined;
  const micros = songPositionOf(flags.to, timeline);
  if (micros === undefined) {
    throw new Refusal(
      `'${flags.to}' is no place in this song`,
      '--to',
      'write 17:3, 1m30s, or how a marker begins',
    );
  }
  if (micros <= startOf(flags, timeline)) {
    throw new Refusal(`'${flags.to}' is not after the beginning`, '--to', 'name a later place');
  }
  return { micros, tick: Math.round(timeline.tempoMap.tickAt(micros)) };
}

function loopOf(text: string, clock: PlayFlags['clock'], timeline: Timeline): Command {
  if (clock === 'virtual') {
    throw new Refusal(
      'a loop has no end, which the virtual clock runs to',
      '--loop',
      'leave one of them out',
    );
  }
  const [first, last] = text.split('-').map((part) => part.trim());
  const from = songPositionOf(first ?? '', timeline);
  // A bar alone is played to its end, as the key for a loop's end does it.
  const to = songPositionOf(/^\d{1,6}$/.test(last ?? '') ? String(Number(last) + 1) : (last ?? ''), timeline);
  if (from === undefined || to === undefined || to <= from) {
    throw new Refusal(
      `'${text}' is no stretch of this song`,
      '--loop',
      'write two positions in order, as in 9-16',
    );
  }
  return { kind: 'loop', fromMicros: from, toMicros: to };
}
