import { channelRanges } from '../instrument/orchestra.ts';
import { sysExName } from '../midi/universal-sysex.ts';
import { barChart } from './bar-chart.ts';
import { type Align, columnsText } from './columns-text.ts';
import { barBeat, clock, counted, cut, keyRange, programWords } from './figure-text.ts';
import { type InstrumentFinding, isHint } from './instrument-finding.ts';
import type { RenderOptions } from './render-options.ts';
import { renderVerdict } from './render-verdict.ts';
import { renderWire } from './render-wire.ts';
import type { SeatCheck, SongCheck } from './song-check.ts';

/** The whole report of one song as lines of at most about 80 columns. */
export function renderReport(check: SongCheck, options: RenderOptions): string[] {
  const sections = [
    head(check, options),
    channels(check, options),
    polyphony(check, options),
    check.instruments.length > 0 ? seats(check, options) : instrument(check, options),
    renderWire(check, options),
    content(check),
    findings(check, options),
    renderVerdict(check, options),
  ];
  return sections
    .filter((lines) => lines.length > 0)
    .flatMap((lines, i) => (i === 0 ? lines : ['', ...lines]));
}

function head({ file, song }: SongCheck, { clean }: RenderOptions): string[] {
  const { tempo } = song;
  const bpm = tempo.slowest === tempo.fastest ? `${tempo.slowest}` : `${tempo.slowest}-${tempo.fastest}`;
  const changes = tempo.changes > 0 ? ` (${counted(tempo.changes, 'change')})` : '';
  const about = [
    `${clock(song.durationSeconds)}, ${counted(song.bars, 'bar')}`,
    song.meters.join(', '),
    `${bpm} BPM${changes}`,
    song.keys.join(', '),
    song.lyrics > 0 ? counted(song.lyrics, 'lyric') : '',
    song.markers > 0 ? counted(song.markers, 'marker') : '',
  ];
  return [
    clean(file),
    ...(song.title === '' ? [] : [`  "${clean(song.title)}"`]),
    `  ${about.filter((part) => part !== '').join('; ')}`,
    `  format ${song.format}, ${counted(song.tracks, 'track')}, ${song.division}, ${counted(song.events, 'message')}`,
  ];
}

const CHANNEL_HEADINGS = ['ch', 'program', 'notes', 'range', 'at once', 'bars', 'controllers'];
const CHANNEL_ALIGNS: readonly Align[] = ['right', 'left', 'right', 'left', 'right', 'left', 'left'];

function channels(check: SongCheck, { ascii }: RenderOptions): string[] {
  const rows = check.channels.map((channel) => {
    const controllers = channel.controllers.map(({ number }) => String(number));
    if (channel.bends > 0) controllers.push('bend');
    if (channel.pressures > 0) controllers.push('pressure');
    return [
      String(channel.channel),
      cut(programWords(channel.programs), 26, ascii),
      String(channel.notes),
      keyRange(channel),
      String(channel.mostNotesAtOnce),
      `${channel.firstBar}-${channel.lastBar}`,
      cut(controllers.join(' '), 18, ascii),
    ];
  });
  return columnsText(CHANNEL_HEADINGS, CHANNEL_ALIGNS, rows);
}

function polyphony(
  { polyphony: { most, at, voices, overSeconds, curve }, instrument: { given }, instruments }: SongCheck,
  { ascii, clean }: RenderOptions,
): string[] {
  const line = (name: string, one: VoicesTold) => {
    const over = one.mostVoices > one.voices ? `: too few for ${one.overSeconds.toFixed(1)} s` : '';
    return `${name}: at most ${counted(one.mostVoices, one.given ? 'voice' : 'key')} at once (${barBeat(one.mostAt)}, pedals included); ${counted(one.voices, 'voice')}${over}`;
  };
  const top = Math.max(most, 1);
  const lines =
    instruments.length === 0
      ? [line('Polyphony', { given, voices, mostVoices: most, mostAt: at, overSeconds })]
      : [
          ...instruments.map((one) => line(`Polyphony at ${clean(one.port)}`, one)),
          'Where voices are nearest to running out:',
        ];
  return [...lines, ...barChart(curve, { rows: 4, top, ascii, topLabel: String(top), bottomLabel: '0' })];
}

type VoicesTold = Pick<SeatCheck, 'given' | 'voices' | 'mostVoices' | 'mostAt' | 'overSeconds'>;

/** Several, each with its port; what one lacks that nobody named stands below it. */
function seats(
  { instruments, instrument: { findings: lacks } }: SongCheck,
  { clean, mostFindings }: RenderOptions,
): string[] {
  return instruments.flatMap(({ port, channels: on, name, given, parts, releaseMs }) => {
    const tail = releaseMs > 0 ? `, sounds die away for ${releaseMs} ms` : '';
    const ranges = channelRanges(on.map((channel) => channel - 1));
    const words = on.length === 0 ? 'no channels' : `channel${on.length === 1 ? '' : 's'} ${ranges}`;
    const told = toldOf(lacks, given).filter((one) => one.port === port);
    const more = told.length > mostFindings ? [`  and ${told.length - mostFindings} more`] : [];
    return [
      `Instrument at ${clean(port)}: ${clean(name)}${given ? '' : ' (assumed)'}, ${words}, ${counted(parts, 'part')}${tail}`,
      ...told.slice(0, mostFindings).map(({ text }) => `  ${clean(text)}`),
      ...more,
    ];
  });
}

/** What an instrument that was named lacks stands in the verdict; of General MIDI, which is only assumed, here. */
function instrument(
  { instrument: { name, given, parts, releaseMs, findings: lacks } }: SongCheck,
  { clean, mostFindings }: RenderOptions,
): string[] {
  const tail = releaseMs > 0 ? `, sounds die away for ${releaseMs} ms` : '';
  const head = `Instrument: ${clean(name)}, ${counted(parts, 'part')}${tail}`;
  const told = toldOf(lacks, given);
  if (told.length === 0) return given ? [head] : [];
  const lines = told.slice(0, mostFindings).map(({ text }) => `  ${clean(text)}`);
  const more = told.length - lines.length;
  return [
    given ? head : `${head} (assumed; --instrument says what is connected)`,
    ...lines,
    ...(more > 0 ? [`  and ${more} more`] : []),
  ];
}

function toldOf(lacks: readonly InstrumentFinding[], given: boolean): readonly InstrumentFinding[] {
  return lacks.filter(({ code }) => (given ? isHint(code) : code !== 'too-few-voices'));
}

function content({ notes, sysEx }: SongCheck): string[] {
  const troubles = [
    notes.neverReleased > 0 ? `${notes.neverReleased} never released` : '',
    notes.struckTwice > 0 ? `${notes.struckTwice} struck while they sound` : '',
    notes.withoutLength > 0 ? `${notes.withoutLength} without length` : '',
    notes.releasedWithoutNote > 0 ? `${notes.releasedWithoutNote} released without a strike` : '',
  ].filter((part) => part !== '');
  const lines = [`Notes: ${notes.count}${troubles.length > 0 ? `; ${troubles.join(', ')}` : ''}`];
  if (notes.pedalsLeftDown.length > 0) {
    lines.push(`Pedals still down at the end: channel ${notes.pedalsLeftDown.join(', ')}`);
  }
  const held =
    sysEx.heldBack > 0 ? `, ${sysEx.heldBack} of them held back unless --allow-sysex is given` : '';
  lines.push(`SysEx: ${counted(sysEx.messages, 'message')}${held}`);
  lines.push(`General MIDI reset: ${sysEx.reset === null ? 'none' : sysExName(sysEx.reset)}`);
  return lines;
}

function findings({ findings: all }: SongCheck, { mostFindings, clean }: RenderOptions): string[] {
  if (all.length === 0) return [];
  const order = ['problem', 'warning', 'note'];
  const sorted = [...all].sort((a, b) => order.indexOf(a.severity) - order.indexOf(b.severity));
  const lines = sorted.slice(0, mostFindings).map(({ severity, offset, text }) => {
    const where = offset >= 0 ? ` byte ${offset}:` : '';
    return `  ${severity}:${where} ${clean(text)}`;
  });
  const more = all.length - lines.length;
  return ['Findings', ...lines, ...(more > 0 ? [`  and ${more} more (--json has them all)`] : [])];
}
