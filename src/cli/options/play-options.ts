import { type Command as CommandLine, InvalidArgumentError, Option } from 'commander';
import type { Command } from '../../core/schedule/command.ts';
import type { Timeline } from '../../core/timeline/timeline.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { channelsArgument } from './channel-list.ts';
import { songPositionOf } from './song-position.ts';

/** What commander hands to the play command. */
export interface PlayFlags {
  readonly port: readonly string[];
  readonly map?: string;
  readonly plan: 'packed' | 'file-order';
  readonly early?: number;
  /** False with `--no-setup-first`. */
  readonly setupFirst: boolean;
  readonly thin?: number;
  readonly clock: 'real' | 'virtual';
  readonly headless?: boolean;
  readonly plain?: boolean;
  readonly json?: boolean;
  readonly from?: string;
  readonly loop?: string;
  readonly tempo: number;
  readonly transpose: number;
  readonly mute?: readonly number[];
  readonly solo?: readonly number[];
  readonly countIn: number;
  readonly restrike?: boolean;
  readonly allowSysex?: boolean;
  readonly settle: number;
  readonly activeSensing?: boolean;
  readonly sync?: boolean;
  readonly record?: string;
  readonly wait?: boolean;
  readonly onPortLoss: 'continue' | 'pause';
  readonly stuckAfter: number;
  readonly ascii?: boolean;
  readonly background?: 'dark' | 'light';
  readonly mouse?: boolean;
  readonly stay?: boolean;
}

export function addPlayOptions(command: CommandLine): CommandLine {
  return command
    .addOption(
      new Option(
        '-p, --port <port>',
        'where the bytes go: mock, hw:…, serial:…, raw:…, file:…; more than once for several',
      )
        .argParser(collect)
        .default([], 'mock'),
    )
    .option('--map <channels=port,…>', 'which channels go to which of several ports, as in 1-8=a,9-16=b')
    .addOption(
      new Option('--plan <plan>', 'order on the wire').choices(['packed', 'file-order']).default('packed'),
    )
    .option('--early <ms>', 'let notes come early by so much, so that chords are centred', between(0, 100), 0)
    .option('--no-setup-first', "keep the file's order even between two notes of one moment")
    .option('--thin <steps>', 'leave out values closer than this (0: only repeated ones)', between(0, 64))
    .addOption(
      new Option('--clock <clock>', 'real time, or as fast as possible')
        .choices(['real', 'virtual'])
        .default('real'),
    )
    .option('--headless', 'no screen: progress lines on standard error')
    .option('--plain', 'no screen: changes told in words, for a screen reader')
    .option('--json', 'print a report as one JSON object at the end (docs/play-json.md)')
    .option('--from <position>', 'start at a bar:beat (17:3), a time (1m30s) or a marker')
    .option('--loop <from-to>', 'repeat between two positions, as in 9-17 or 9:1-16:4')
    .option('--tempo <percent>', 'tempo scale, 25–400', between(25, 400), 100)
    .option('--transpose <semitones>', 'all channels but 10, -24 to 24', wholeBetween(-24, 24), 0)
    .option('--mute <channels>', 'as in 1-4,10', channelsArgument)
    .option('--solo <channels>', 'as in 1-4,10', channelsArgument)
    .option('--count-in <bars>', 'bars of clicks before the song', wholeBetween(0, 4), 0)
    .option('--restrike', 'strike held notes again after a seek')
    .option('--allow-sysex', "let SysEx through that can overwrite a device's memory")
    .option('--settle <ms>', 'rest after a reset message', between(0, 5000), 100)
    .option('--active-sensing', 'send FE while nothing else is sent, so that a module notices when we die')
    .option('--sync', 'send MIDI clock, start, stop and song position')
    .option('--record <file>', 'keep what was sent: .mid, or a text log under any other name')
    .addOption(
      new Option('--on-port-loss <what>', 'what the music does meanwhile')
        .choices(['continue', 'pause'])
        .default('continue'),
    )
    .option('--wait', 'start although a device is not there yet')
    .option('--stuck-after <seconds>', 'a note older than this counts as stuck', between(1, 3600), 10)
    .option('--ascii', 'no block characters')
    .addOption(
      new Option('--background <kind>', "the terminal's, where it is guessed wrong").choices([
        'dark',
        'light',
      ]),
    )
    .option('--mouse', 'clicks choose lanes, mute, solo and move in the song (docs/keys.md)')
    .option('--stay', 'keep the screen open after the last song');
}

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

/** Song time to start at. */
export function startOf(flags: PlayFlags, timeline: Timeline): number {
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

function loopOf(text: string, clock: PlayFlags['clock'], timeline: Timeline): Command {
  if (clock === 'virtual') {
    throw new Refusal(
      'a loop has no end, which the virtual clock runs to',
      '--loop',
      'leave one of them out',
    );
  }
  const [from, to] = text.split('-').map((part) => songPositionOf(part.trim(), timeline));
  if (from === undefined || to === undefined || to <= from) {
    throw new Refusal(
      `'${text}' is no stretch of this song`,
      '--loop',
      'write two positions in order, as in 9-17',
    );
  }
  return { kind: 'loop', fromMicros: from, toMicros: to };
}

function collect(value: string, before: readonly string[]): string[] {
  return [...before, value];
}

function wholeBetween(low: number, high: number): (text: string) => number {
  const inRange = between(low, high);
  return (text) => {
    const value = inRange(text);
    if (!Number.isInteger(value)) throw new InvalidArgumentError('Write a whole number.');
    return value;
  };
}

function between(low: number, high: number): (text: string) => number {
  return (text) => {
    const value = Number(text);
    if (text.trim() === '' || !Number.isFinite(value) || value < low || value > high) {
      throw new InvalidArgumentError(`Write a number from ${low} to ${high}.`);
    }
    return value;
  };
}
