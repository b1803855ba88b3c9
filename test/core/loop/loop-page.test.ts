import { describe, expect, test } from 'vitest';
import type { LoopDocument } from '../../../src/core/loop/loop-document.ts';
import { renderLoop } from '../../../src/core/loop/render-loop.ts';

const SOUND: LoopDocument = {
  schema: 'wirepit-loop/1',
  port: 'raw:out',
  from: 'raw:in',
  quiet: false,
  rounds: 1,
  verdict: 'sound',
  bytes: { sent: 4000, heard: 4000, lost: 0, changed: 0, added: 0, reEncoded: false, values: 256 },
  bits: { set: [0, 0, 0, 0, 0, 0, 0, 0], cleared: [0, 0, 0, 0, 0, 0, 0, 0] },
  latency: {
    count: 60,
    minMicros: 1100,
    p50Micros: 1250,
    p95Micros: 1400,
    maxMicros: 1610,
    spreadMicros: 250,
    wireMicros: 960,
  },
  queue: { longestMicros: 26_000, beyondP50Micros: 10, beyondP95Micros: 120, beyondMaxMicros: 900 },
  baud: { baud: 31_260.4, uncertainty: 3.2, ppm: 333, uncertaintyPpm: 102 },
  byteMicros: 319.893,
  heldMicros: 0,
  lineErrors: { framing: 1, parity: 2, overrun: 3, breaks: 4 },
  sections: [],
  causes: [],
  faults: [],
};
const page = (change: Partial<LoopDocument>, width = 200, why?: string) =>
  renderLoop({ ...SOUND, ...change }, width, why).map((line) => line.replaceAll(' ', '·'));
const rowOf = (label: string, change: Partial<LoopDocument>, why?: string) =>
  page(change, 200, why).find((line) => line.startsWith(label.padEnd(10, '·')));

test('a sound line', () => {
  expect(page({})).toEqual([
    'sound:·all·4000·bytes·came·as·they·were·sent,·31260·±·3·baud',
    '',
    'bytes·····4000·sent,·4000·heard:·0·lost,·0·changed,·0·added·(256·of·256·values)',
    'latency···1.25·ms·(1.10·ms·to·1.61·ms),·of·it·0.96·ms·the·message·itself;·spread·0.25·ms',
    'queue·····26.00·ms·at·most·from·handing·over·to·there;·beyond·what·the·wire·needs·0.12·ms·for·one·byte·in·twenty,·0.90·ms·at·most',
    'baud······31260·±·3·(+0.03·%;·MIDI·1.0·allows·±·1·%)',
    'framing···1·framing,·2·parity,·3·overrun,·4·breaks',
  ]);
});

test('where a message comes sooner than a wire would bring it, the wire is no part of the latency', () => {
  const latencyOf = (p50Micros: number) => rowOf('latency', { latency: { ...SOUND.latency!, p50Micros } });
  expect(latencyOf(190)).toBe(
    'latency···0.19·ms·(1.10·ms·to·1.61·ms),·sooner·than·a·wire·brings·the·message·(0.96·ms);·spread·0.25·ms',
  );
  expect(latencyOf(959)).toContain('sooner');
  expect(latencyOf(960)).toContain('of·it·0.96·ms·the·message·itself');
});

test('a faulty one says first what is wrong, what to look at, then what else, and the first four differences', () => {
  const fault = { kind: 'lost', offset: 7, section: 'full', sent: 0x90, heard: null } as const;
  expect(
    page(
      {
        verdict: 'faulty',
        bytes: { ...SOUND.bytes, heard: 3999, lost: 2, changed: 3, added: 1, reEncoded: true },
        bits: { set: [1, 0, 0, 0, 0, 0, 0, 2], cleared: [3, 0, 0, 0, 0, 0, 0, 0] },
        causes: [
          { code: 'bits-changed', evidence: 'here', text: 'bits are changed', look: 'the cable' },
          { code: 'slow', evidence: 'there', text: 'it is slow', look: 'the far end' },
          { code: 'unsteady', evidence: 'now and then', text: 'it is unsteady', look: 'the near end' },
        ],
        faults: [
          fault,
          { kind: 'changed', offset: 123_456, section: 'alone', sent: 0x0f, heard: 0x1f },
          { kind: 'added', offset: 0, section: 'sysex', sent: null, heard: 0xfe },
          fault,
          { ...fault, offset: 99 },
        ],
      },
      60,
    ),
  ).toEqual([
    'faulty:·bits·are·changed:·here',
    'look·at:·the·cable',
    '',
    'bytes·····4000·sent,·3999·heard:·2·lost,·3·changed,·1·added',
    '··········(256·of·256·values)',
    '··········the·interface·encodes·anew:·counted·by·what·the',
    '··········messages·say,·not·by·their·bytes',
    'bits······bit·0:·0·to·1·1×,·1·to·0·3×;·bit·7:·0·to·1·2×,·1',
    '··········to·0·0×',
    'latency···1.25·ms·(1.10·ms·to·1.61·ms),·of·it·0.96·ms·the',
    '··········message·itself;·spread·0.25·ms',
    'queue·····26.00·ms·at·most·from·handing·over·to·there;',
    '··········beyond·what·the·wire·needs·0.12·ms·for·one·byte·in',
    '··········twenty,·0.90·ms·at·most',
    'baud······31260·±·3·(+0.03·%;·MIDI·1.0·allows·±·1·%)',
    'framing···1·framing,·2·parity,·3·overrun,·4·breaks',
    '',
    'also······it·is·slow:·there',
    'look·at···the·far·end',
    '',
    'also······it·is·unsteady:·now·and·then',
    'look·at···the·near·end',
    '',
    'first·differences',
    '··byte······7··full·······lost·90',
    '··byte·123456··alone······0F·became·1F',
    '··byte······0··sysex······added·FE',
    '··byte······7··full·······lost·90',
  ]);
});

describe('rows', () => {
  test.each<[string, string | undefined, Partial<LoopDocument>]>([
    [
      'baud',
      'baud······31260·±·3·(-0.12·%;·MIDI·1.0·allows·±·1·%)',
      { baud: { ...SOUND.baud!, ppm: -1200 } },
    ],
    ['baud', 'baud······31260·±·3·(0.00·%;·MIDI·1.0·allows·±·1·%)', { baud: { ...SOUND.baud!, ppm: 0 } }],
    ['baud', 'baud······no·wire·holds·the·bytes·up:·one·every·319.9·µs', { baud: null }],
    ['baud', 'baud······cannot·be·told:·too·few·bytes·came·without·a·gap', { baud: null, byteMicros: null }],
    [
      'latency',
      'latency···spread·0.25·ms·over·60·messages;·the·sender’s·clock·is·not·known·here',
      { latency: { ...SOUND.latency!, minMicros: null, p50Micros: null, p95Micros: null, maxMicros: null } },
    ],
    ['latency', undefined, { latency: null }],
    ['queue', undefined, { queue: null }],
    ['framing', 'framing···not·told', { lineErrors: null }],
  ])('%s: %j', (label, text, change) => {
    expect(rowOf(label, change)).toBe(text);
  });

  test('why the system does not tell is said', () => {
    expect(rowOf('framing', { lineErrors: null }, 'only root may read it')).toBe(
      'framing···not·told:·only·root·may·read·it',
    );
  });
});

test('where there is no input it says what was handed over, and how long the port took nothing', () => {
  const sent = { from: null, verdict: 'sent' } as const;
  expect(page({ ...sent, heldMicros: 1000 })).toEqual([
    'sent:·4000·bytes·went·out;·the·other·end·says·how·they·came',
    '',
    'bytes·····4000·handed·over,·256·of·256·values',
  ]);
  expect(page({ ...sent, heldMicros: 1001 }).slice(3)).toEqual(['held·up···1.0·ms·at·most']);
  expect(page({ ...sent, heldMicros: null })).toEqual(page({ ...sent, heldMicros: 1000 }));
});

test('sound without a known rate', () => {
  expect(page({ baud: null })[0]).toBe('sound:·all·4000·bytes·came·as·they·were·sent');
});
