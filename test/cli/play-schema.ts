import { z } from 'zod';

/** `wirepit-play/1` as docs/play-json.md has it. Strict: a field that is not documented here fails. */
const count = z.int().min(0);
const channel = z.int().min(1).max(16);
const share = z.number().min(0).max(1);

const port = z.strictObject({
  name: z.string().min(1),
  port: z.string().min(1),
  instrument: z.string().optional(),
  channels: z.array(channel),
  messages: count,
  noteOns: count,
  bytes: count,
  worstOnsetLatenessMicros: count,
  worstOnsetSongMicros: z.int().min(-1),
  peakLoad: share,
  losses: count,
  atEnd: z.enum(['fine', 'full', 'gone']),
});

export const playReportSchema = z.strictObject({
  schema: z.literal('wirepit-play/1'),
  song: z.strictObject({
    file: z.string(),
    format: count,
    tracks: count,
    durationSeconds: z.number().min(0),
  }),
  sent: z.strictObject({ messages: count, noteOns: count, bytes: count }),
  channels: z
    .array(z.strictObject({ channel, noteOns: count, programs: z.array(z.int().min(1).max(128)) }))
    .length(16),
  findings: z.array(
    z.strictObject({
      severity: z.enum(['note', 'warning', 'problem']),
      offset: z.int().min(-1),
      text: z.string().min(1),
    }),
  ),
  wire: z.strictObject({
    worstOnsetLatenessMicros: count,
    worstOnsetSongMicros: z.int().min(-1),
    peakLoad: share,
  }),
  ports: z.array(port).min(1),
  followed: z
    .strictObject({
      port: z.string().min(1),
      clocks: count,
      losses: count,
      quartersPerMinute: z.number().min(0),
      jitterMicros: count,
      atEnd: z.enum(['there', 'gone', 'ended']),
    })
    .optional(),
  skippedNoteOns: count,
  heldSysEx: count,
  playAlong: z
    .strictObject({
      from: z.string(),
      channel: z.union([channel, z.literal('as-played')]),
      notes: count,
      messages: count,
      held: count,
      worstWaitMicros: count,
    })
    .optional(),
  soundingAtEnd: count,
});

export type PlayReportRead = z.infer<typeof playReportSchema>;
