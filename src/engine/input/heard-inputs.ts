import { Wake } from '../clock/wake.ts';
import type { EarRequest, EarUse, HearRequest } from './ear.ts';
import { type HeardInput, hearInput } from './hear-input.ts';
import { Fed } from './input-feed.ts';
import { scriptOf } from './scripted-input.ts';

/** Inputs as the user named them: whose clock is followed, and what somebody plays along on. They may be the same. */
export interface InputNames {
  readonly clock?: string | undefined;
  readonly visitor?: string | undefined;
}

/** What a whole run hears, whatever songs it plays one after another. */
export interface HeardInputs {
  readonly request: HearRequest;
  /** What went wrong with them, a sentence each without a full stop. Grows. */
  readonly troubles: readonly string[];
  /** Nothing more will ever come of the clock. On a virtual clock each song hears it from its beginning. */
  readonly clockHasEnded: boolean;
  /** May be called twice. */
  close(): Promise<void>;
}

/** Each input once, with all that it is listened to for. */
function usesOf({ clock, visitor }: InputNames): Map<string, EarUse> {
  const uses = new Map<string, EarUse>();
  for (const spec of [clock, visitor]) {
    if (spec !== undefined) uses.set(spec, { clock: spec === clock, visitor: spec === visitor });
  }
  return uses;
}

/**
 * Opens the inputs, each in a thread of its own.
 * @throws Refusal when one cannot be opened; then none is
 */
export async function hearInputs(names: InputNames, waitForDevice: boolean): Promise<HeardInputs> {
  const wake = new Wake();
  const troubles: string[] = [];
  const heard: HeardInput[] = [];
  const ears: EarRequest[] = [];
  const close = async (): Promise<void> => {
    for (const input of heard) await input.close();
  };
  try {
    for (const [spec, use] of usesOf(names)) {
      const tell = (trouble: string): void => void troubles.push(trouble);
      const input = await hearInput(spec, { waitForDevice, wake: wake.buffer, tell });
      heard.push(input);
      ears.push({ spec, ...use, ring: input.ring.buffer, link: input.link });
    }
  } catch (error) {
    await close();
    throw error;
  }
  const clock = heard[ears.findIndex((ear) => ear.clock)];
  return {
    request: { wake: wake.buffer, ears },
    troubles,
    get clockHasEnded() {
      return clock?.ring.input === Fed.ended;
    },
    close,
  };
}

/**
 * Reads inputs to their ends beforehand, for the virtual clock.
 * @throws Refusal when one cannot be read
 */
export async function readInputs(names: InputNames): Promise<HeardInputs> {
  const ears: EarRequest[] = [];
  for (const [spec, use] of usesOf(names)) ears.push({ spec, ...use, script: await scriptOf(spec) });
  return { request: { ears }, troubles: [], clockHasEnded: false, async close() {} };
}
