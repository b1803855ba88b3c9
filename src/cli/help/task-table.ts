/** A command line that works, and what it does. */
export interface Example {
  readonly line: string;
  readonly about: string;
}

/** A command as `wirepit --help` has it. */
export interface TaskCommand {
  readonly name: string;
  /** At most 66 letters: it has one line. */
  readonly brief: string;
  readonly examples: readonly Example[];
}

export interface Task {
  /** What a person wants. */
  readonly name: string;
  readonly commands: readonly TaskCommand[];
}

/**
 * Every command under what a person wants to do; help, man page and docs/README.md tell it in this order. The first example
 * of a task stands beside its name. `song.mid` and the like are whatever the person has; test/house/commands.test.ts
 * runs every line.
 */
export const TASKS: readonly Task[] = [
  {
    name: 'Find out',
    commands: [
      {
        name: 'check',
        brief: 'what is in songs, and whether they fit wire and module',
        examples: [
          {
            line: 'wirepit check song.mid',
            about: 'one song in full, with the command line that makes it fit',
          },
          { line: 'wirepit check songs/', about: 'a folder: a line for each song' },
          { line: 'wirepit check song.mid --instrument lindwurm-eight', about: 'for what is connected' },
          {
            line: 'wirepit check song.mid --map 1-9=a@lindwurm-eight,10=b@tin-beat-box',
            about: 'for two instruments, each with its channels',
          },
          { line: 'wirepit check set.toml', about: 'a whole set, with its length' },
        ],
      },
      {
        name: 'instrument',
        brief: 'what is known of an instrument; or ask one who it is',
        examples: [
          {
            line: 'wirepit instrument lindwurm-eight',
            about: 'all of a profile, to hold against the manual',
          },
          {
            line: 'wirepit instrument --ask -p serial:/dev/ttyS0 --from serial:/dev/ttyS0',
            about: 'what answers at the line',
          },
        ],
      },
      {
        name: 'ports',
        brief: 'the ports of this machine, and how to get those that are missing',
        examples: [{ line: 'wirepit ports', about: 'names to give to --port and --from' }],
      },
    ],
  },
  {
    name: 'Play',
    commands: [
      {
        name: 'play',
        brief: 'songs, with the screen; what wirepit does without a command',
        examples: [
          { line: 'wirepit song.mid', about: 'on the mock wire: nothing need be connected' },
          { line: 'wirepit song.mid --port serial:/dev/ttyS0', about: 'through a UART; volume down first' },
          {
            line: 'wirepit song.mid --port rtp:192.168.1.20:5004',
            about: 'to another board, on a network of your own',
          },
          { line: 'wirepit songs/', about: 'choose from a folder' },
          { line: 'wirepit song.mid --from 3 --tempo 80 --mute 10', about: 'to practise with' },
          {
            line: 'wirepit song.mid --headless --clock virtual --json',
            about: 'a report, as fast as possible',
          },
        ],
      },
    ],
  },
  {
    name: 'Watch',
    commands: [
      {
        name: 'listen',
        brief: 'what another machine sends: lanes, wire, stuck notes, faults',
        examples: [
          { line: 'wirepit listen --from serial:/dev/ttyS0', about: 'on the screen' },
          {
            line: 'wirepit listen --from rtp:5004 --thru serial:/dev/ttyS0',
            about: 'the board by the instrument',
          },
          {
            line: 'wirepit listen --from serial:/dev/ttyS0 --against song.mid',
            about: 'held against the song while it comes',
          },
          {
            line: 'wirepit listen --from file:take.log --clock virtual',
            about: 'a record, as fast as possible',
          },
        ],
      },
      {
        name: 'watch',
        brief: 'a show that runs on this machine, from another terminal',
        examples: [{ line: 'wirepit watch', about: 'leave with q; the show goes on' }],
      },
    ],
  },
  {
    name: 'Prove',
    commands: [
      {
        name: 'compare',
        brief: 'whether a recording is the song as written, and if not, why',
        examples: [
          { line: 'wirepit compare song.mid heard.log', about: 'first what differs, then the cause' },
        ],
      },
      {
        name: 'loop',
        brief: 'whether an interface delivers every byte, how late, how fast',
        examples: [
          {
            line: 'wirepit loop -p serial:/dev/ttyS0 --from serial:/dev/ttyS0 --quiet',
            about: 'its Out joined to its In; without notes',
          },
        ],
      },
    ],
  },
  {
    name: 'Fit',
    commands: [
      {
        name: 'fit',
        brief: 'a song to an instrument: programs, parts, keys, voices',
        examples: [
          {
            line: 'wirepit fit song.mid --voices 8 --parts 4 --out fitted.mid',
            about: 'a new file; the song stays as it is',
          },
          {
            line: 'wirepit fit song.mid --instrument lindwurm-eight',
            about: 'only tell what would become of it',
          },
          {
            line: 'wirepit fit song.mid --map 1-9=a@lindwurm-eight,10=b@tin-beat-box --out fitted.mid',
            about: 'for two instruments, each with its channels',
          },
        ],
      },
    ],
  },
  {
    name: 'Prepare',
    commands: [
      {
        name: 'prepare',
        brief: 'a song for a small machine: player and song as one image',
        examples: [
          {
            line: 'wirepit prepare song.mid --board board.toml --out song.hex',
            about: 'as Intel HEX; docs/boards has three boards',
          },
          {
            line: 'wirepit prepare song.mid --board board.toml --out song.wav',
            about: 'as sound for a cassette',
          },
          { line: 'wirepit prepare --from-tape take-1.wav --out song.bin', about: 'read a cassette back' },
        ],
      },
    ],
  },
  {
    name: 'Show',
    commands: [
      {
        name: 'show',
        brief: 'a set of songs, for an evening or for days, with nobody near',
        examples: [
          { line: 'wirepit show set.toml', about: 'play it; it goes on where it stopped' },
          { line: 'wirepit show --new songs/ evening.toml', about: 'write one from the songs of a folder' },
          { line: 'wirepit show set.toml --unattended --port serial:/dev/ttyS0', about: 'for visitors' },
          {
            line: 'wirepit show set.toml --service-tty tty1',
            about: 'a systemd unit for a board with a monitor of its own',
          },
        ],
      },
    ],
  },
  {
    name: 'Settle in',
    commands: [
      {
        name: 'config',
        brief: 'the usual options: each with its value and where it comes from',
        examples: [{ line: 'wirepit config', about: 'and which file they are read from' }],
      },
      {
        name: 'completion',
        brief: 'what bash, zsh or fish needs to complete commands and options',
        examples: [{ line: 'wirepit completion bash', about: 'put eval "$(…)" of it into ~/.bashrc' }],
      },
      {
        name: 'man',
        brief: 'the man page',
        examples: [{ line: 'wirepit man', about: 'as man wants it: wirepit man | man -l -' }],
      },
    ],
  },
];

export function examplesOf(command: string): readonly Example[] {
  return TASKS.flatMap(({ commands }) => commands).find(({ name }) => name === command)?.examples ?? [];
}
