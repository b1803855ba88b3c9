import { type Command, InvalidArgumentError, Option } from 'commander';
import { CHECK_DEFAULTS, type CheckOptions } from '../../core/report/check-options.ts';
import { MIDI_WIRE } from '../../core/wire/wire-traits.ts';

/** What commander hands to the check command. */
export interface CheckFlags {
  readonly json?: boolean;
  readonly ascii?: boolean;
  readonly voices: number;
  readonly baud: number;
  /** False with `--no-running-status`. */
  readonly runningStatus: boolean;
  readonly allowSysex?: boolean;
  readonly settle: number;
  readonly early: number;
  /** False with `--no-setup-first`. */
  readonly setupFirst: boolean;
  readonly thin?: number;
  readonly jobs?: number;
}

export function addCheckOptions(command: Command): Command {
  return command
    .option('--json', 'print one JSON object a song, each on its own line (docs/check-json.md)')
    .option(
      '--voices <n>',
      "voices of the module; General MIDI's by default",
      whole(1, 1024),
      CHECK_DEFAULTS.voices,
    )
    .option('--baud <n>', 'speed of the wire', whole(300, 4_000_000), MIDI_WIRE.baud)
    .option('--no-running-status', 'count every message whole, as for an interface that encodes for itself')
    .option(
      '--thin <steps>',
      'play thinned: leave out values closer than this (0: only repeated ones)',
      whole(0, 64),
    )
    .option('--no-setup-first', "keep the file's order even between two notes of one moment")
    .option('--early <ms>', 'let notes come early by so much, so that chords are centred', whole(0, 100), 0)
    .option('--allow-sysex', "send makers' own SysEx too")
    .option('--settle <ms>', 'rest after a reset message', whole(0, 5000), 0)
    .option('--ascii', 'no block characters')
    .addOption(new Option('--jobs <n>', 'threads for many songs').argParser(whole(1, 64)).hideHelp());
}

export function checkOptionsOf(flags: CheckFlags): Partial<CheckOptions> {
  return {
    traits: { ...MIDI_WIRE, baud: flags.baud, runningStatus: flags.runningStatus ? 'ours' : 'device' },
    voices: flags.voices,
    allowSysEx: flags.allowSysex ?? false,
    settleMicros: flags.settle * 1000,
    earlyMicros: flags.early * 1000,
    setupFirst: flags.setupFirst,
    thin: flags.thin !== undefined,
    tolerance: flags.thin ?? CHECK_DEFAULTS.tolerance,
  };
}

function whole(least: number, most: number): (text: string) => number {
  return (text) => {
    const value = Number(text);
    if (!Number.isInteger(value) || value < least || value > most) {
      throw new InvalidArgumentError(`Write a whole number from ${least} to ${most}.`);
    }
    return value;
  };
}
