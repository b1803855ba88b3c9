import { z } from 'zod';

/** `wirepit-show/1` as docs/show-json.md has it. Strict: a field that is not documented there fails. */
export const showReportSchema = z.strictObject({
  schema: z.literal('wirepit-show/1'),
  set: z.string().min(1),
  played: z.array(
    z.strictObject({
      file: z.string().min(1),
      from: z.iso.datetime(),
      to: z.iso.datetime(),
      how: z.enum(['ended', 'next', 'previous', 'quit']),
    }),
  ),
  playedCount: z.int().min(0),
  skipped: z.array(
    z.strictObject({ file: z.string().min(1), why: z.string().min(1), times: z.int().min(1) }),
  ),
});
