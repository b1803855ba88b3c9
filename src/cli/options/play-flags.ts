import type { Command } from '../../core/schedule/command.ts';
import type { Timeline } from '../../core/timeline/timeline.ts';
import { writtenPosition } from '../../core/timeline/written-position.ts';
import { Refusal } from '../../trouble/refusal.ts';
import type { FlagsOf } from './flags-of.ts';

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

function loopOf(text: string, clock: PlayFlags['clock'], timeline: Timeline): Command {
  if (clock === 'virtual') {
    throw new Refusal(
      'a loop has no end, which the virtual clock runs to',
      '--loop',
      'leave one of them out',
    );
  }
  const [first, last] = text.split('-').map((part) => part.trim());
  const from = writtenPosition(first ?? '', timeline);
  // A bar alone is played to its end, as the key for a loop's end does it.
  const to = writtenPosition(
    /^\d{1,6}$/.test(last ?? '') ? String(Number(last) + 1) : (last ?? ''),
    timeline,
  );
  if (from === undefined || to === undefined || to <= from) {
    throw new Refusal(
      `'${text}' is no stretch of this song`,
      '--loop',
      'write two positions in order, as in 9-16',
    );
  }
  return { kind: 'loop', fromMicros: from, toMicros: to };
}
