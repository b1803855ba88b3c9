import * as z from 'zod';

/** A set file (docs/show.md), as TOML. Channels and programs are counted from 1, as people count them. */
const channel = z.int().min(1).max(16);
const program = z.int().min(1).max(128);
const seconds = z
  .number()
  .min(0)
  .max(24 * 3600);

const settings = {
  tempo: z.number().min(25).max(400).optional(),
  transpose: z.int().min(-24).max(24).optional(),
  mute: z.array(channel).optional(),
  solo: z.array(channel).optional(),
  /** Channel → program. */
  programs: z.record(z.string().regex(/^([1-9]|1[0-6])$/, 'expected a channel, 1 to 16'), program).optional(),
  volume: z.int().min(0).max(400).optional(),
};

const shared = {
  'gap-seconds': seconds.optional(),
  'wait-for-key': z.boolean().optional(),
  volume: settings.volume,
  instrument: z.string().min(1).optional(),
  fit: z.boolean().optional(),
};

const timeOfDay = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'expected a time of day as in "09:30"');

export const SET_SCHEMA = z.strictObject({
  set: z
    .strictObject({
      name: z.string().min(1).optional(),
      loop: z.boolean().optional(),
      /** A seed: the same one always draws the same orders. */
      shuffle: z.int().min(0).max(0xffff_ffff).optional(),
      ports: z.array(z.string().min(1)).max(16).optional(),
      map: z.string().min(1).optional(),
      ...shared,
    })
    .optional(),
  section: z.array(z.strictObject({ name: z.string().min(1), from: timeOfDay, to: timeOfDay })).optional(),
  song: z
    .array(
      z.strictObject({
        file: z.string().min(1),
        from: z.string().min(1).optional(),
        to: z.string().min(1).optional(),
        repeat: z.int().min(1).max(1000).optional(),
        section: z.string().min(1).optional(),
        ...settings,
        ...shared,
      }),
    )
    .min(1)
    .max(10_000),
});

export type SetDocument = z.infer<typeof SET_SCHEMA>;

/** What was changed on the screen and kept (`<set>.kept.toml`): one entry for each song. */
export const KEPT_SCHEMA = z.strictObject({
  song: z.array(z.strictObject({ file: z.string().min(1), ...settings })).optional(),
});

export type KeptDocument = z.infer<typeof KEPT_SCHEMA>;
export type SongSettings = Omit<NonNullable<KeptDocument['song']>[number], 'file'>;
