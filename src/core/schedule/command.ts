/**
 * Every command, with the one or two numbers it carries: the only place that knows them. From it come the type,
 * the numbers in the ring and the way from one to the other. The row's place is the command's number (`op`).
 */
const COMMANDS = {
  play: [],
  pause: [],
  stop: [],
  seek: ['micros'],
  loop: ['fromMicros', 'toMicros'],
  'loop-off': [],
  'tempo-scale': ['scale'],
  transpose: ['semitones'],
  mute: ['channel', 'on'],
  solo: ['channel', 'on'],
  'velocity-trim': ['channel', 'amount'],
  'channel-transpose': ['channel', 'semitones'],
  'program-override': ['channel', 'program'],
  'silence-all': [],
  'silence-channel': ['channel'],
  'silence-note': ['channel', 'key'],
  quit: [],
} as const satisfies Record<string, readonly [a?: Field, b?: Field]>;

type Field = keyof Fields;

/** What the numbers mean. Channels are 0–15, keys 0–127, times song microseconds. */
interface Fields {
  readonly micros: number;
  readonly fromMicros: number;
  readonly toMicros: number;
  readonly scale: number;
  readonly semitones: number;
  readonly channel: number;
  readonly on: boolean;
  readonly amount: number;
  readonly program: number | undefined;
  readonly key: number;
}

type Table = typeof COMMANDS;

export type CommandKind = keyof Table;

/** What a person can ask of a running song. */
export type Command = {
  [Kind in CommandKind]: { readonly kind: Kind } & Pick<Fields, Extract<Table[Kind][number], Field>>;
}[CommandKind];

/** `loop-off` → `loopOff`. */
type OpName<Kind extends string> = Kind extends `${infer First}-${infer Second}`
  ? `${First}${Capitalize<Second>}`
  : Kind;

/** The number of each command, for a switch without strings. */
export const Op = Object.fromEntries(
  Object.keys(COMMANDS).map((kind, op) => [kind.replace(/-(.)/, (_, first) => first.toUpperCase()), op]),
) as { readonly [Kind in CommandKind as OpName<Kind>]: number };

/** A command on its way between threads, which read it without garbage. What it does not carry is 0. */
export type EncodedCommand = readonly [op: number, a: number, b: number];

/** "No program" is −1; on and off are 1 and 0. */
export function encodeCommand(command: Command): EncodedCommand {
  const values = command as Partial<Fields>;
  const [a, b] = COMMANDS[command.kind] as readonly Field[];
  return [OPS.indexOf(command.kind), numberOf(values, a), numberOf(values, b)];
}

/** The way back; undefined for numbers that are no command. */
export function commandFrom([op, ...values]: EncodedCommand): Command | undefined {
  const kind = OPS[op] as CommandKind | undefined;
  if (kind === undefined || !values.every(Number.isFinite)) return undefined;
  const fields = (COMMANDS[kind] as readonly Field[]).map((field, n) => [field, fieldOf(field, values[n]!)]);
  return { kind, ...Object.fromEntries(fields) };
}

function fieldOf(field: Field, value: number): number | boolean | undefined {
  if (field === 'on') return value !== 0;
  return field === 'program' && value < 0 ? undefined : value;
}

const OPS = Object.keys(COMMANDS);

function numberOf(values: Partial<Fields>, field: Field | undefined): number {
  if (field === undefined) return 0;
  return Number(values[field] ?? -1);
}
