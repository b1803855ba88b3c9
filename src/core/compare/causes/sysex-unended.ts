import type { Evidence } from './evidence.ts';

/** SysEx messages that another status byte ended (MIDI 1.0, p. 35: F7 ends it). */
export function sysExUnended({ heard }: Evidence): string | undefined {
  const { count } = heard.sysEx;
  const cut = heard.sysEx.cut.reduce((sum, one) => sum + one, 0);
  if (cut === 0 || cut < 0.5 * count) return undefined;
  return `${cut} of ${count} SysEx ${count === 1 ? 'message' : 'messages'} had no F7 at the end`;
}
