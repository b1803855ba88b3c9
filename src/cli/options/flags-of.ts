import type { CommandName } from './option-row.ts';
import type { OPTION_TABLE } from './option-table.ts';

type Row = (typeof OPTION_TABLE)[number];

type RowOf<Name extends CommandName, R = Row> = R extends { readonly commands: readonly (infer Taker)[] }
  ? Name extends Taker
    ? R
    : never
  : never;

/** `count-in` → `countIn`, as the parser names what it hands over. */
type FlagName<Name extends string> = Name extends `no-${infer Positive}`
  ? FlagName<Positive>
  : Name extends `${infer First}-${infer Rest}`
    ? `${First}${Capitalize<FlagName<Rest>>}`
    : Name;

interface Values {
  readonly switch: boolean;
  readonly text: string;
  readonly texts: readonly string[];
  readonly number: number;
  readonly whole: number;
  readonly seconds: number;
  /** Channels 0–15. */
  readonly channels: readonly number[];
}

type ValueOf<R> = R extends { readonly choices: readonly (infer Choice)[] }
  ? Choice
  : R extends { readonly kind: infer Kind extends keyof Values }
    ? Values[Kind]
    : never;

/** Options that always have a value: they have a default, or are switches that are on until they are put off. */
type Certain<R> = R extends { readonly default: unknown } | { readonly name: `no-${string}` } ? R : never;

type Named<R> = R extends { readonly name: infer Name extends string }
  ? { readonly name: Name; readonly row: R }
  : never;

/** What the parser hands to a command, told by the table of options: `FlagsOf<'play'>`. */
export type FlagsOf<Name extends CommandName> = {
  readonly [N in Named<Certain<RowOf<Name>>> as FlagName<N['name']>]: ValueOf<N['row']>;
} & {
  readonly [N in Named<Exclude<RowOf<Name>, Certain<RowOf<Name>>>> as FlagName<N['name']>]?: ValueOf<
    N['row']
  >;
};
