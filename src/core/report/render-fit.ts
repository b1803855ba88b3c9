import type { FitDocument } from '../arrange/fit/fit-document.ts';
import type { MeasureDocument } from '../arrange/fit/measure-document.ts';
import { sysExName } from '../midi/universal-sysex.ts';
import { counted } from './figure-text.ts';

export interface RenderFitOptions {
  /** Cleans text that comes from a file. */
  readonly clean: (text: string) => string;
  /** Where it was written; undefined: nowhere. */
  readonly out: string | undefined;
}

const MOST_BARS = 8;

const WHY: Readonly<Record<string, string>> = {
  same: 'the same sound',
  'sub-group': 'nearly the same',
  family: 'of its family',
  neighbour: 'of a family beside it',
  envelope: 'sounds as long',
  any: 'there is nothing nearer',
  kit: 'the nearest drum kit',
};

const NOTE_REASONS = {
  noVoice: 'for want of a voice',
  noPart: 'for want of a part',
  noDrums: 'as there are no drums',
  noDrumSound: 'for want of a drum sound',
  noKey: 'for want of a key in any octave',
  keyTaken: 'as the new key sounds already',
} as const;

/** The report of a fit, as lines for people. */
export function renderFit(document: FitDocument, { clean, out }: RenderFitOptions): string[] {
  const lines = [
    `${clean(document.file)} on ${clean(whatPlays(document))}`,
    '',
    ...measureLines(document, clean),
    '',
    `${document.keptProgramPercent.toFixed(1)} % of the notes that are no drums keep their program.`,
    ...channelLines(document, clean),
    ...programLines(document, clean),
    ...keyLines(document),
    ...leftOutLines(document),
    ...barLines(document),
    '',
  ];
  if (!document.changed) lines.push('Nothing is to be changed: as it is, it plays as well as it can.');
  lines.push(out === undefined ? 'Nothing was written; --out names a file.' : `Written to ${clean(out)}.`);
  return lines;
}

function whatPlays({ instrument, instruments }: FitDocument): string {
  if (instruments.length === 0) return instrument;
  return instruments.map(({ port, name }) => `${port} (${name})`).join(', ');
}

/** All together, and then each instrument for itself where there are several. */
function measureLines(
  { before, after, instruments }: FitDocument,
  clean: (text: string) => string,
): string[] {
  const rows: (readonly [string, MeasureDocument])[] = [
    ['as written', before],
    ['fitted', after],
    ...instruments.flatMap((one): (readonly [string, MeasureDocument])[] => [
      [`${clean(one.port)} as written`, one.before],
      [`${clean(one.port)} fitted`, one.after],
    ]),
  ];
  const width = Math.max(...rows.map(([name]) => name.length));
  return [
    `${''.padEnd(width)}     notes  not heard in full     loss  voices wanted  parts`,
    ...rows.map(([name, measure]) => measureLine(name.padEnd(width), measure)),
  ];
}

function measureLine(
  name: string,
  { notes, notesCut, lossPercent, mostVoices, parts }: MeasureDocument,
): string {
  const loss = `${lossPercent > 0 && lossPercent < 0.01 ? '<0.01' : lossPercent.toFixed(2)} %`;
  return [
    name,
    String(notes).padStart(10),
    String(notesCut).padStart(19),
    loss.padStart(9),
    String(mostVoices).padStart(15),
    String(parts).padStart(7),
  ].join('');
}

function channelLines({ channels, instruments }: FitDocument, clean: (text: string) => string): string[] {
  const widest = Math.max(0, ...instruments.map(({ port }) => clean(port).length));
  const lines = channels.map((one) => {
    const { channel, port, drums, notes, playsOn, leftOut, shortened, otherProgram } = one;
    const on = playsOn.length === 0 ? 'not heard' : `plays on ${playsOn.join(', ')}`;
    const facts = [
      leftOut > 0 ? `${leftOut} left out` : '',
      shortened > 0 ? `${shortened} shortened` : '',
      otherProgram > 0 ? `${otherProgram} with another sound` : '',
    ].filter((fact) => fact !== '');
    const at = port === null ? '' : `  at ${clean(port).padEnd(widest)}`;
    const name = `${String(channel).padStart(4)}${drums ? ' drums' : '      '}${at}`;
    return `${name}  ${String(notes).padStart(6)} ${notes === 1 ? 'note ' : 'notes'}  ${[on, ...facts].join('; ')}`;
  });
  return ['', 'Channels', ...lines, ...deafLines(channels, instruments, clean)];
}

/** Where music is lost as the map sends elsewhere what an instrument listens to. */
function deafLines(
  channels: FitDocument['channels'],
  instruments: FitDocument['instruments'],
  clean: (text: string) => string,
): string[] {
  return instruments.flatMap(({ port, name, hears, hearsElsewhere }) => {
    const lost = channels.filter((one) => one.port === port && one.playsOn.length === 0);
    if (lost.length === 0 || hearsElsewhere.length === 0) return [];
    const which = channelsText(lost.map(({ channel }) => channel));
    const heard = channelsText(hearsElsewhere);
    return [
      `${clean(port)} (${clean(name)}) plays nothing of ${which}; it ${hears.length > 0 ? 'also ' : ''}hears ${heard}, which the map sends elsewhere`,
    ];
  });
}

function programLines({ programs }: FitDocument, clean: (text: string) => string): string[] {
  if (programs.length === 0) return [];
  const lines = programs.map(
    ({ channel, from, to, toName, why, notes }) =>
      `  channel ${channel}: program ${from} becomes ${to} ${clean(toName)} (${WHY[why] ?? why}), ${counted(notes, 'note')}`,
  );
  return ['', 'Programs', ...lines];
}

function keyLines({ moved }: FitDocument): string[] {
  const lines = moved.flatMap((move) => {
    if (move.what === 'channel') return [];
    const { what, channel, from, to, notes } = move;
    const octaves = Math.abs(to - from) / 12;
    const way = `${counted(octaves, 'octave')} ${to > from ? 'up' : 'down'}`;
    if (what === 'drum-key')
      return [`  channel ${channel}: drum ${from} becomes ${to}, ${counted(notes, 'note')}`];
    if (what === 'part-key') return [`  channel ${channel}: the part goes ${way}, ${counted(notes, 'note')}`];
    return [`  channel ${channel}: key ${from} goes ${way}, ${counted(notes, 'note')}`];
  });
  return lines.length > 0 ? ['', 'Keys', ...lines] : [];
}

function leftOutLines(document: FitDocument): string[] {
  const { leftOut, shortened, putIn, resetsExchanged, bendsScaledChannels, pedalsWrittenOutChannels } =
    document;
  const lines: string[] = [];
  for (const [reason, words] of Object.entries(NOTE_REASONS)) {
    const count = leftOut.notes[reason as keyof typeof NOTE_REASONS];
    if (count > 0) lines.push(`  ${counted(count, 'note')} left out ${words}`);
  }
  if (shortened > 0) lines.push(`  ${counted(shortened, 'note')} shortened`);
  for (const { controller, name, count } of leftOut.controllers) {
    lines.push(`  ${count} × controller ${controller} (${name}) left out: it is not followed`);
  }
  for (const { parameter, count } of leftOut.parameters) {
    lines.push(
      `  ${counted(count, 'message')} for registered parameter ${parameter} left out: it is not followed`,
    );
  }
  if (leftOut.resets > 0)
    lines.push(
      `  ${counted(leftOut.resets, 'reset')} left out: ${leftOut.resets === 1 ? 'it is' : 'they are'} not understood`,
    );
  for (const { from, to, count } of resetsExchanged) {
    lines.push(`  ${count} × ${sysExName(from)} becomes ${sysExName(to)}, which is followed`);
  }
  if (leftOut.banks > 0)
    lines.push(
      `  ${counted(leftOut.banks, 'bank selection')} left out: ${leftOut.banks === 1 ? 'that bank is' : 'those banks are'} not there`,
    );
  if (putIn.programChannels.length > 0) {
    lines.push(`  the first program put in, before any note, on ${channelsText(putIn.programChannels)}`);
  }
  if (putIn.bendRangeChannels.length > 0) {
    lines.push(`  bend range put in on ${channelsText(putIn.bendRangeChannels)}`);
  }
  if (putIn.resetMessages > 0) {
    lines.push(`  ${counted(putIn.resetMessages, 'message')} put in for what resets would have done`);
  }
  if (bendsScaledChannels.length > 0) {
    lines.push(`  bends made to fit the instrument's range on ${channelsText(bendsScaledChannels)}`);
  }
  if (pedalsWrittenOutChannels.length > 0) {
    lines.push(`  pedals written out as longer notes on ${channelsText(pedalsWrittenOutChannels)}`);
  }
  return lines.length > 0 ? ['', 'Changes', ...lines] : [];
}

function channelsText(channels: readonly number[]): string {
  return `${channels.length === 1 ? 'channel' : 'channels'} ${channels.join(', ')}`;
}

/** The bars that lose most once fitted, or lost most before. */
function barLines({ bars }: FitDocument): string[] {
  if (bars.length === 0) return [];
  const worst = bars
    .toSorted((a, b) => b.after - a.after || b.before - a.before)
    .slice(0, MOST_BARS)
    .sort((a, b) => a.bar - b.bar)
    .map(
      ({ bar, before, after }) =>
        `  bar ${String(bar).padStart(4)}  ${before.toFixed(1).padStart(5)} % before  ${after.toFixed(1).padStart(5)} % after`,
    );
  return [
    '',
    bars.length > MOST_BARS ? `Loss by bar (the ${MOST_BARS} worst of ${bars.length})` : 'Loss by bar',
    ...worst,
  ];
}
