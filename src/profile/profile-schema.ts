import * as z from 'zod';
import type { ProfileDocument } from '../core/instrument/profile-document.ts';

/** A profile (docs/instruments.md), as TOML. The bounds of single values; core/instrument judges what concerns several. */
const channels = z.array(z.int().min(1).max(16)).max(16);
const seven = z.int().min(0).max(127);
const keyRange = z.array(seven).length(2, 'expected [lowest, highest]');
const ms = z.number().min(0).max(10_000);
const name = z.string().min(1).max(80);
const countFrom = z.int().min(0).max(1);
const numbered = (what: string) => z.record(z.string().regex(/^(\d|[1-9]\d|1[01]\d|12[0-8])$/, what), name);

export const PROFILE_SCHEMA = z.strictObject({
  instrument: z
    .strictObject({
      name: name.optional(),
      voices: z.int().min(1).max(1024).optional(),
      'voices-each': z.int().min(1).max(64).optional(),
      parts: z.int().min(1).max(16).optional(),
      channels: channels.min(1).optional(),
      keys: keyRange.optional(),
      full: z.enum(['oldest', 'released', 'newest']).optional(),
      'release-ms': ms.optional(),
      'bend-range': z.int().min(0).max(24).optional(),
      controllers: z.array(seven).max(128).optional(),
      rpn: z
        .array(z.string().regex(/^\d{1,3}\/\d{1,3}$/, 'expected "msb/lsb", as in "0/0"'))
        .max(128)
        .optional(),
      resets: z
        .array(z.enum(['gm1', 'gm2', 'reset-all-controllers', 'all-notes-off', 'all-sound-off']))
        .optional(),
      'running-status': z.boolean().optional(),
      'count-from': countFrom.optional(),
      quirks: z.array(z.string().max(400)).max(64).optional(),
      pauses: z
        .strictObject({
          'after-reset-ms': ms.optional(),
          'after-program-ms': ms.optional(),
          'after-sysex-ms': ms.optional(),
          'between-bytes-ms': z.number().min(0).max(20).optional(),
        })
        .optional(),
    })
    .optional(),
  bank: z
    .array(
      z.strictObject({
        name: name.optional(),
        msb: seven.optional(),
        lsb: seven.optional(),
        'count-from': countFrom.optional(),
        'general-midi': z.boolean().optional(),
        programs: z.array(z.string().max(80)).max(128, 'a bank has 128 programs at the most').optional(),
        program: z
          .array(
            z.strictObject({
              number: z.int().min(0).max(128),
              name: name.optional(),
              like: z.int().min(1).max(128).optional(),
              keys: keyRange.optional(),
              'voices-each': z.int().min(1).max(64).optional(),
            }),
          )
          .max(128, 'a bank has 128 programs at the most')
          .optional(),
      }),
    )
    .min(1)
    .max(512, 'expected 512 banks at the most')
    .optional(),
  drums: z
    .strictObject({
      channels: channels.optional(),
      keys: numbered('expected a key, 0 to 127').optional(),
      kits: numbered('expected a program number').optional(),
    })
    .optional(),
}) satisfies z.ZodType<ProfileDocument>;
