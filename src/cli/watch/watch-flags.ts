import type { FlagsOf } from '../options/flags-of.ts';

export type WatchFlags = FlagsOf<'watch'>;
