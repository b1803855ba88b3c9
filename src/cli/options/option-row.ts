/** The commands of the command line. Add a new one here and to the rows it takes. */
export type CommandName =
  | 'play'
  | 'check'
  | 'listen'
  | 'compare'
  | 'loop'
  | 'ports'
  | 'show'
  | 'watch'
  | 'fit'
  | 'instrument'
  | 'prepare'
  | 'config';

/**
 * One option, as plain data: what `--help`, the parser and whatever else tells of options read. A row whose name
 * begins with `no-` is a switch that is on by default.
 */
export interface OptionRow {
  /** What follows `--`. */
  readonly name: string;
  /** One letter that stands for it. */
  readonly short?: string;
  /** What its value is called; none for a switch. */
  readonly value?: string;
  readonly kind: OptionKind;
  /** Bounds of a number, both allowed. */
  readonly least?: number;
  readonly most?: number;
  /** The words a `choice` may be. */
  readonly choices?: readonly string[];
  /** Without one the option is absent where it is not given; a switch needs none. */
  readonly default?: number | string | readonly string[];
  /** How the default reads where it does not speak for itself. */
  readonly defaultWords?: string;
  readonly about: string;
  readonly commands: readonly CommandName[];
  readonly group: OptionGroup;
  /** Not in `--help`: for ourselves. */
  readonly hidden?: boolean;
  /** May stand in a person's settings file (docs/config.md): it belongs to a machine or to a person, not to a song. */
  readonly habit?: boolean;
  /** A habit that says nothing without another: it is taken only where that one comes from the file too. */
  readonly goesWith?: string;
  /** A habit that is left out where one of these is typed, with which it makes no sense. */
  readonly yieldsTo?: readonly string[];
}

/**
 * `numbers` are any, `whole` ones without a fraction; `seconds` are above 0; `texts` may be given more than once;
 * `channels` is a list as in 1-4,10.
 */
export type OptionKind = 'switch' | 'text' | 'texts' | 'number' | 'whole' | 'seconds' | 'choice' | 'channels';

/** Headings of `--help`, in the order they are shown. */
export const OPTION_GROUPS = {
  ports: 'Ports:',
  plan: 'The plan:',
  music: 'The music:',
  instrument: 'The instrument:',
  output: 'What is shown and kept:',
} as const;

export type OptionGroup = keyof typeof OPTION_GROUPS;
