/**
 * What a System Exclusive message is (MIDI 1.0 Detailed Specification 4.2.1, p. 34–57 and Table VIIa; GM2 On:
 * RP-024; names of sub-ids without a function here: from memory).
 */
export type SysExKind =
  | 'gm-on'
  | 'gm-off'
  | 'gm2-on'
  | 'master-volume'
  | 'master-balance'
  | 'identity-request'
  | 'identity-reply'
  | 'full-frame'
  | 'universal'
  | 'non-commercial'
  | 'maker'
  | 'empty';

export interface SysExClass {
  readonly kind: SysExKind;
  readonly name: string;
  /** Defined by the standard for every maker's instruments. */
  readonly universal: boolean;
  /** Puts the instrument back to its beginnings: it needs time before the next message. */
  readonly reset: boolean;
  /** Carries data that an instrument stores: samples, files, tunings. */
  readonly stores: boolean;
  /** Not sent unless the user allows it: it can overwrite a device's memory, or nobody can tell what it does. */
  readonly held: boolean;
  /** Stays in force until the next of its class: master volume, a tuning. */
  readonly lasting: boolean;
}

const NON_REAL_TIME = 0x7e;
const REAL_TIME = 0x7f;
const NON_COMMERCIAL = 0x7d;

type Row = readonly [id: number, sub1: number, sub2: number | 'any', kind: SysExKind, name: string];

/** The first row that fits counts. */
const ROWS: readonly Row[] = [
  [NON_REAL_TIME, 0x09, 0x01, 'gm-on', 'General MIDI System On'],
  [NON_REAL_TIME, 0x09, 0x02, 'gm-off', 'General MIDI System Off'],
  [NON_REAL_TIME, 0x09, 0x03, 'gm2-on', 'General MIDI 2 System On'],
  [NON_REAL_TIME, 0x06, 0x01, 'identity-request', 'Identity Request'],
  [NON_REAL_TIME, 0x06, 0x02, 'identity-reply', 'Identity Reply'],
  [NON_REAL_TIME, 0x01, 'any', 'universal', 'Sample Dump Header'],
  [NON_REAL_TIME, 0x02, 'any', 'universal', 'Sample Data Packet'],
  [NON_REAL_TIME, 0x03, 'any', 'universal', 'Sample Dump Request'],
  [NON_REAL_TIME, 0x04, 'any', 'universal', 'MIDI Time Code Set-Up'],
  [NON_REAL_TIME, 0x05, 'any', 'universal', 'Sample Dump Extension'],
  [NON_REAL_TIME, 0x07, 'any', 'universal', 'File Dump'],
  [NON_REAL_TIME, 0x08, 'any', 'universal', 'Tuning Dump'],
  [NON_REAL_TIME, 0x0a, 'any', 'universal', 'Downloadable Sounds'],
  [NON_REAL_TIME, 0x7b, 'any', 'universal', 'End of File'],
  [NON_REAL_TIME, 0x7c, 'any', 'universal', 'Wait'],
  [NON_REAL_TIME, 0x7d, 'any', 'universal', 'Cancel'],
  [NON_REAL_TIME, 0x7e, 'any', 'universal', 'Not Acknowledged'],
  [NON_REAL_TIME, 0x7f, 'any', 'universal', 'Acknowledged'],
  [REAL_TIME, 0x04, 0x01, 'master-volume', 'Master Volume'],
  [REAL_TIME, 0x04, 0x02, 'master-balance', 'Master Balance'],
  [REAL_TIME, 0x01, 0x01, 'full-frame', 'MIDI Time Code Full Frame'],
  [REAL_TIME, 0x01, 'any', 'universal', 'MIDI Time Code'],
  [REAL_TIME, 0x02, 'any', 'universal', 'Show Control'],
  [REAL_TIME, 0x03, 'any', 'universal', 'Notation'],
  [REAL_TIME, 0x04, 'any', 'universal', 'Device Control'],
  [REAL_TIME, 0x05, 'any', 'universal', 'Real-Time Cueing'],
  [REAL_TIME, 0x06, 'any', 'universal', 'Machine Control Command'],
  [REAL_TIME, 0x07, 'any', 'universal', 'Machine Control Response'],
  [REAL_TIME, 0x08, 'any', 'universal', 'Tuning Change'],
  [REAL_TIME, 0x09, 'any', 'universal', 'Controller Destination'],
  [REAL_TIME, 0x0a, 'any', 'universal', 'Key-Based Instrument Control'],
  [REAL_TIME, 0x0b, 'any', 'universal', 'Scalable Polyphony'],
];

/**
 * Non-real-time sub-ids that carry samples or files into a device, or ask for them (Table VIIa): universal, but
 * held back like a maker's own.
 */
const DUMP_SUB_IDS: ReadonlySet<number> = new Set([0x01, 0x02, 0x03, 0x05, 0x07]);

const RESETS: ReadonlySet<SysExKind> = new Set(['gm-on', 'gm-off', 'gm2-on']);
const STORING_SUB_IDS: ReadonlySet<number> = new Set([0x01, 0x02, 0x05, 0x07, 0x08]);
/** Sub-ids of what stays in force, by id (Table VIIa; those from 09 on from memory). */
const LASTING_SUB_IDS: Readonly<Record<number, ReadonlySet<number>>> = {
  [NON_REAL_TIME]: new Set([0x08, 0x0a]),
  [REAL_TIME]: new Set([0x04, 0x08, 0x09, 0x0a, 0x0b]),
};

const UNIVERSAL: readonly { readonly row: Row; readonly class: SysExClass }[] = ROWS.map((row) => {
  const [id, sub1, , kind, name] = row;
  const stores = id === NON_REAL_TIME && STORING_SUB_IDS.has(sub1);
  const held = id === NON_REAL_TIME && DUMP_SUB_IDS.has(sub1);
  const lasting = LASTING_SUB_IDS[id]!.has(sub1);
  return { row, class: { kind, name, universal: true, reset: RESETS.has(kind), stores, held, lasting } };
});

const PLAIN = { universal: false, reset: false, stores: false, held: true, lasting: false } as const;
/** Ends before its first sub-id: it says nothing that is defined. */
const SHORT_UNIVERSAL: SysExClass = { ...PLAIN, kind: 'universal', name: 'Universal SysEx', universal: true };
const OTHER_UNIVERSAL: SysExClass = { ...SHORT_UNIVERSAL, held: false };
const NON_COMMERCIAL_CLASS: SysExClass = { ...PLAIN, kind: 'non-commercial', name: 'Non-Commercial SysEx' };
const MAKER: SysExClass = { ...PLAIN, kind: 'maker', name: "Maker's SysEx", stores: true };
const EMPTY: SysExClass = { ...PLAIN, kind: 'empty', name: 'Empty SysEx' };

/** Every class there is: for tests and printed tables. */
export const SYSEX_CLASSES: readonly SysExClass[] = [
  ...UNIVERSAL.map((entry) => entry.class),
  SHORT_UNIVERSAL,
  OTHER_UNIVERSAL,
  NON_COMMERCIAL_CLASS,
  MAKER,
  EMPTY,
];

/** What the first class of that kind is called: there is but one of each reset. */
export function sysExName(kind: SysExKind): string {
  return SYSEX_CLASSES.find((one) => one.kind === kind)!.name;
}

/**
 * Says what a SysEx message is by its first bytes. A leading F0 may be there (as on the wire) or not (as in a
 * song's payload); the classes are made once, so that asking allocates nothing.
 */
export function classifySysEx(bytes: Uint8Array, start = 0, length = bytes.length - start): SysExClass {
  const end = Math.min(start + length, bytes.length);
  const at = bytes[start] === 0xf0 ? start + 1 : start;
  // A status byte where the maker's id should be: F7 at once, or damage.
  if (at >= end || bytes[at]! >= 0x80) return EMPTY;
  const id = bytes[at]!;
  if (id === NON_COMMERCIAL) return NON_COMMERCIAL_CLASS;
  if (id !== NON_REAL_TIME && id !== REAL_TIME) return MAKER;
  // Behind the id: device, sub-id 1, sub-id 2.
  const sub1 = at + 2 < end ? bytes[at + 2]! : 0xff;
  const sub2 = at + 3 < end ? bytes[at + 3]! : 0xff;
  if (sub1 >= 0x80) return SHORT_UNIVERSAL;
  for (const { row, class: found } of UNIVERSAL) {
    if (row[0] === id && row[1] === sub1 && (row[2] === sub2 || row[2] === 'any')) return found;
  }
  return OTHER_UNIVERSAL;
}
