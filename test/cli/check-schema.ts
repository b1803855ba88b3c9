import { z } from 'zod';
import { INSTRUMENT_FINDINGS, type InstrumentFindingCode } from '../../src/core/report/instrument-finding.ts';

/** `wirepit-check/1` as docs/check-json.md has it. Strict: a field that is not documented here fails. */
const share = z.number().min(0).max(1);
const count = z.int().min(0);
const micros = z.number();

const place = z.strictObject({ seconds: z.number(), bar: z.int().min(1), beat: z.int().min(1) });

export const PLAN_FIELDS = {
  worstOnsetLatenessMicros: micros,
  worstAt: place,
  rmsOnsetLatenessMicros: micros.min(0),
  worstOnsetDistanceMicros: micros.min(0),
  onsetsOver20ms: count,
  bytes: count,
  meanLoad: share,
  peakLoad100ms: share,
  peakLoad1s: share,
  worstBacklogMicros: micros.min(0),
  leadInMicros: micros.min(0),
};
const plan = z.strictObject(PLAN_FIELDS);
const thinned = z.strictObject({
  ...PLAN_FIELDS,
  tolerance: count,
  dropped: count,
  reductions: z.array(
    z.strictObject({
      channel: z.int().min(1).max(16),
      message: z.enum(['controller', 'program', 'channel-pressure', 'key-pressure', 'bend']),
      number: z.int().min(-1).max(127),
      reason: z.enum(['repeated', 'superseded', 'within-tolerance']),
      count: z.int().min(1),
    }),
  ),
});
const instrument = z.strictObject({
  name: z.string().min(1),
  given: z.boolean(),
  parts: z.int().min(1),
  releaseMs: z.number().min(0),
  findings: z.array(
    z.strictObject({
      code: z.string(),
      port: z.string().nullable(),
      channels: z.array(z.int().min(1).max(16)),
      at: place,
      count,
      share,
      text: z.string().min(1),
    }),
  ),
});
const seat = z.strictObject({
  port: z.string().min(1),
  channels: z.array(z.int().min(1).max(16)),
  name: z.string().min(1),
  given: z.boolean(),
  parts: z.int().min(1).max(16),
  releaseMs: z.number().min(0),
  voices: z.int().min(1),
  mostVoices: count,
  mostAt: place,
  overSeconds: z.number().min(0),
});
const channel = z.strictObject({
  channel: z.int().min(1).max(16),
  programs: z.array(
    z.strictObject({
      program: z.int().min(1).max(128),
      bankMsb: z.int().min(0).max(127),
      bankLsb: z.int().min(0).max(127),
      name: z.string(),
    }),
  ),
  notes: count,
  lowestKey: z.int().min(0).max(127).nullable(),
  highestKey: z.int().min(0).max(127).nullable(),
  mostNotesAtOnce: count,
  controllers: z.array(
    z.strictObject({ number: z.int().min(0).max(127), name: z.string(), count: z.int().min(1) }),
  ),
  bends: count,
  pressures: count,
  firstBar: z.int().min(1),
  lastBar: z.int().min(1),
  bytes: count,
});

export const checkedSchema = z.strictObject({
  schema: z.literal('wirepit-check/1'),
  file: z.string(),
  verdict: z.enum(['fits', 'fits-with-changes', 'does-not-fit']),
  problems: z.array(
    z.strictObject({
      code: z.enum([
        'wire-late',
        'voices',
        'ports',
        'finding',
        'pedal-left-down',
        ...(Object.keys(INSTRUMENT_FINDINGS) as InstrumentFindingCode[]),
      ]),
      text: z.string(),
    }),
  ),
  changes: z.array(z.strictObject({ flags: z.array(z.string()).min(1), text: z.string() })),
  command: z.array(z.string()).min(2),
  song: z.strictObject({
    title: z.string(),
    format: count,
    tracks: count,
    division: z.string(),
    durationSeconds: z.number().min(0),
    bars: z.int().min(1),
    tempo: z.strictObject({ slowest: z.number(), fastest: z.number(), changes: count }),
    meters: z.array(z.string().regex(/^\d+\/\d+$/)).min(1),
    keys: z.array(z.string()),
    markers: count,
    lyrics: count,
    events: count,
    ports: z.array(z.int().min(0).max(255)),
  }),
  notes: z.strictObject({
    count,
    neverReleased: count,
    struckTwice: count,
    withoutLength: count,
    releasedWithoutNote: count,
    pedalsLeftDown: z.array(z.int().min(1).max(16)),
  }),
  channels: z.array(channel).max(16),
  instrument,
  instruments: z.array(seat).max(16),
  polyphony: z.strictObject({
    voices: z.int().min(1),
    most: count,
    at: place,
    overSeconds: z.number().min(0),
    curve: z.array(count),
  }),
  sysEx: z.strictObject({
    messages: count,
    heldBack: count,
    longestBytes: count,
    reset: z.enum(['gm-on', 'gm2-on', 'gm-off', 'universal']).nullable(),
  }),
  wire: z.strictObject({
    port: z.string().nullable(),
    baud: z.number(),
    runningStatus: z.boolean(),
    boundMicros: micros.min(0),
    boundRmsMicros: micros.min(0),
    fileOrder: plan,
    packed: plan,
    thinned: thinned.nullable(),
    changed: plan.nullable(),
    curve: z.array(share),
  }),
  findings: z.array(
    z.strictObject({
      code: z.string(),
      severity: z.enum(['note', 'warning', 'problem']),
      offset: z.int().min(-1),
      text: z.string(),
    }),
  ),
});

export const unreadableSchema = z.strictObject({
  schema: z.literal('wirepit-check/1'),
  file: z.string(),
  verdict: z.literal('unreadable'),
  error: z.strictObject({ what: z.string(), where: z.string(), nextStep: z.string() }),
});

export const checkSchema = z.union([checkedSchema, unreadableSchema]);
