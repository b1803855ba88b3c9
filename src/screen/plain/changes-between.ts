import { signedText } from '../format/moment.ts';
import type { PlainSnapshot } from './plain-snapshot.ts';

/** Bars are told in steps of this many, so that a listener knows where the song is without being talked over. */
const BAR_STEP = 8;

/** By trouble: `PortTrouble`. */
const PORT_WORDS = ['works again', 'is full and takes nothing now', 'is gone'] as const;

/**
 * What has changed from one moment to a later one, a short sentence each, the most pressing first.
 * @param isAnswered somebody pressed a key and was answered: state, tempo, pitch, mutes and solos are left out
 */
export function changesBetween(before: PlainSnapshot, after: PlainSnapshot, isAnswered = false): string[] {
  const lines: string[] = [];
  for (const [index, { words, trouble }] of after.ports.entries()) {
    if (trouble !== before.ports[index]?.trouble) lines.push(`${words} ${PORT_WORDS[trouble] ?? 'is amiss'}`);
  }
  if (after.stalls > before.stalls) lines.push('the machine stood still for a moment; the music was held');
  for (const [note, words] of after.stuckWords) if (!before.stuckWords.has(note)) lines.push(words);
  for (const [note, words] of before.stuckWords) {
    if (!after.stuckWords.has(note)) lines.push(`${words.split(' hangs')[0]} no longer hangs`);
  }
  if (after.clock !== before.clock) {
    if (after.clock !== '') lines.push(after.clock);
    else lines.push(['follows the clock', after.clockTempo].filter((part) => part !== '').join(', '));
  } else if (!isAnswered && after.state !== before.state) lines.push(after.state);
  const tempo = after.clockTempo === '' ? '' : `, ${after.clockTempo}`;
  if (after.marker !== before.marker && after.marker !== '')
    lines.push(`${after.marker}, bar ${after.bar}${tempo}`);
  else if (Math.floor((after.bar - 1) / BAR_STEP) !== Math.floor((before.bar - 1) / BAR_STEP)) {
    lines.push(`bar ${after.bar}${tempo}`);
  }
  for (const [channel, name] of after.names.entries()) {
    if (name !== '' && name !== before.names[channel]) lines.push(`channel ${channel + 1}: ${name}`);
  }
  return isAnswered ? lines : [...lines, ...settingsBetween(before, after)];
}

/** What a person has set. */
function settingsBetween(before: PlainSnapshot, after: PlainSnapshot): string[] {
  const lines: string[] = [];
  if (after.tempoPercent !== before.tempoPercent) lines.push(`tempo ${after.tempoPercent} percent`);
  if (after.transpose !== before.transpose) lines.push(`transpose ${signedText(after.transpose)}`);
  for (let channel = 0; channel < after.muted.length; channel += 1) {
    if (after.muted[channel] !== before.muted[channel]) {
      lines.push(`channel ${channel + 1} ${after.muted[channel] ? 'muted' : 'unmuted'}`);
    }
    if (after.soloed[channel] !== before.soloed[channel]) {
      lines.push(`channel ${channel + 1} solo ${after.soloed[channel] ? 'on' : 'off'}`);
    }
  }
  return lines;
}
