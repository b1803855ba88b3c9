import { z } from 'zod';

/** `wirepit-fit/1` as docs/fit-json.md has it. Strict: a field that is not documented there fails. */
const count = z.int().min(0);
const channel = z.int().min(1).max(16);
const program = z.int().min(1).max(128);
const percent = z.number().min(0).max(100);
const key = z.int().min(0).max(127);

const measure = z.strictObject({
  notes: count,
  notesCut: count,
  lossPercent: percent,
  mostVoices: count,
  parts: count,
});

export const FIT_SHAPE = z.strictObject({
  schema: z.literal('wirepit-fit/1'),
  file: z.string(),
  instrument: z.string(),
  keep: z.number().min(1),
  changed: z.boolean(),
  before: measure,
  after: measure,
  keptProgramPercent: percent,
  programs: z.array(
    z.strictObject({
      channel,
      from: program,
      to: program,
      toName: z.string(),
      why: z.enum(['same', 'sub-group', 'family', 'neighbour', 'envelope', 'any', 'kit']),
      notes: count,
    }),
  ),
  moved: z.array(
    z.union([
      z.strictObject({
        what: z.literal('channel'),
        from: channel,
        to: channel,
        why: z.enum(['program', 'other-program', 'drums']),
        notes: count,
      }),
      z.strictObject({
        what: z.enum(['drum-key', 'part-key', 'key']),
        channel,
        from: key,
        to: key,
        notes: count,
      }),
    ]),
  ),
  shortened: count,
  leftOut: z.strictObject({
    notes: z.strictObject({
      noVoice: count,
      noPart: count,
      noDrums: count,
      noDrumSound: count,
      noKey: count,
      keyTaken: count,
    }),
    controllers: z.array(z.strictObject({ controller: key, name: z.string(), count })),
    parameters: z.array(z.strictObject({ parameter: z.string(), count })),
    resets: count,
    banks: count,
  }),
  resetsExchanged: z.array(
    z.strictObject({ from: z.enum(['gm-on', 'gm2-on']), to: z.enum(['gm-on', 'gm2-on']), count }),
  ),
  putIn: z.strictObject({
    programChannels: z.array(channel),
    bendRangeChannels: z.array(channel),
    resetMessages: count,
  }),
  bendsScaledChannels: z.array(channel),
  pedalsWrittenOutChannels: z.array(channel),
  instruments: z.array(
    z.strictObject({
      port: z.string(),
      channels: z.array(channel),
      name: z.string(),
      hears: z.array(channel),
      hearsElsewhere: z.array(channel),
      before: measure,
      after: measure,
      keptProgramPercent: percent,
    }),
  ),
  channels: z.array(
    z.strictObject({
      channel,
      port: z.string().nullable(),
      drums: z.boolean(),
      notes: count,
      playsOn: z.array(channel),
      leftOut: count,
      leftOutWhy: z.enum(['noVoice', 'noPart', 'noDrums', 'noDrumSound', 'noKey', 'keyTaken']).nullable(),
      shortened: count,
      otherProgram: count,
    }),
  ),
  bars: z.array(z.strictObject({ bar: z.int().min(1), before: percent, after: percent })),
});
