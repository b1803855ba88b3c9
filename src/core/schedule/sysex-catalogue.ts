import { isHeldBack, PayloadKind } from '../timeline/payload-kind.ts';
import { payloadOf } from '../timeline/payload-rows.ts';
import type { TimelineColumns } from '../timeline/timeline.ts';

/** What is to be done with a SysEx, as its kind and the user's leave have it. */
export const SysExRole = {
  /** Not sent: the user did not allow it. */
  held: 0,
  /** Passes, leaves nothing behind: an inquiry, a time code, a transport word. */
  momentary: 1,
  /** Passes, and stays in force until the next of its class: master volume, tuning. */
  lasting: 2,
  /** General MIDI on, off, GM2 on: everything returns to rest. */
  reset: 3,
  /** Allowed, but no whole SysEx: read as its receiver would read it, and sent message by message. */
  loose: 4,
} as const;

/** For each payload row: its role, its class (lasting ones replace their own class) and its content. */
export interface SysExCatalogue {
  readonly role: Uint8Array;
  /** Class number from 1; 0 where the role is not `lasting`. */
  readonly kind: Uint32Array;
  /** Equal for equal bytes; from 1. */
  readonly content: Uint32Array;
  readonly kinds: number;
  /** By class: what brings it back to rest, without F0; undefined where that is not known or not needed. */
  readonly rest: readonly (Uint8Array | undefined)[];
}

/** Of a stream whose SysEx is not kept. */
export const NO_SYSEX: SysExCatalogue = {
  role: new Uint8Array(0),
  kind: new Uint32Array(0),
  content: new Uint32Array(0),
  kinds: 0,
  rest: [],
};

/**
 * Device control that rests at a published value (MIDI 1.0, Table VIIa, and GM2 for the tunings, from memory), by
 * sub-id 2: master volume full, balance, fine and coarse tuning in the middle.
 */
const DEVICE_CONTROL_REST: Readonly<Record<number, readonly [lsb: number, msb: number]>> = {
  1: [0x7f, 0x7f],
  2: [0x00, 0x40],
  3: [0x00, 0x40],
  4: [0x00, 0x40],
};

/** Looks at every payload of a song once. With `allowHeld` a maker's own messages pass as lasting. */
export function catalogueSysEx(columns: TimelineColumns, allowHeld: boolean): SysExCatalogue {
  const rows = columns.payloadStart.length;
  const role = new Uint8Array(rows);
  const kind = new Uint32Array(rows);
  const content = new Uint32Array(rows);
  const contents = new Map<string, number>();
  const kinds = new Map<string, number>();
  const rest: (Uint8Array | undefined)[] = [undefined];
  let struck = false;
  for (let row = 0; row < columns.count; row += 1) {
    const status = columns.status[row]!;
    if ((status & 0xf0) === 0x90) struck = true;
    if (status !== 0xf0 && status !== 0xf7) continue;
    const payload = columns.payload[row]!;
    const bytes = payloadOf(columns, row);
    const text = `${status}:${bytes.join()}`;
    content[payload] = numberOf(contents, text);
    role[payload] = roleOf(columns.payloadKind[payload]!, status, bytes, allowHeld);
    if (role[payload] !== SysExRole.lasting) continue;
    kind[payload] = numberOf(kinds, kindOf(bytes, text));
    // What was in force before the first note nobody hears.
    if (kind[payload] === rest.length) rest.push(struck ? restOf(bytes) : undefined);
  }
  return { role, kind, content, kinds: kinds.size, rest };
}

function numberOf(numbers: Map<string, number>, text: string): number {
  const known = numbers.get(text);
  if (known !== undefined) return known;
  numbers.set(text, numbers.size + 1);
  return numbers.size;
}

function roleOf(kind: number, status: number, bytes: Uint8Array, allowHeld: boolean): number {
  if (isHeldBack(kind) && !allowHeld) return SysExRole.held;
  switch (kind) {
    case PayloadKind.broken:
      return SysExRole.loose;
    case PayloadKind.own: {
      // A maker's own, in one piece, may set what lasts; a dump (universal) and a packet do not come again.
      const isUniversal = bytes[0] === 0x7e || bytes[0] === 0x7f;
      const isInOnePiece = status === 0xf0 && bytes.at(-1) === 0xf7;
      return isInOnePiece && !isUniversal ? SysExRole.lasting : SysExRole.momentary;
    }
    case PayloadKind.lasting:
      return SysExRole.lasting;
    case PayloadKind.reset:
      return SysExRole.reset;
    default:
      return SysExRole.momentary;
  }
}

function restOf(bytes: Uint8Array): Uint8Array | undefined {
  if (!isDeviceControl(bytes)) return undefined;
  const values = DEVICE_CONTROL_REST[bytes[3]!];
  return values === undefined ? undefined : Uint8Array.of(0x7f, bytes[1]!, 0x04, bytes[3]!, ...values, 0xf7);
}

function isDeviceControl(bytes: Uint8Array): boolean {
  return bytes[0] === 0x7f && bytes[2] === 0x04;
}

/** @param text what the message is, where it replaces none but itself */
function kindOf(bytes: Uint8Array, text: string): string {
  return replacedClass(bytes) ?? text;
}

/**
 * Messages that have this in common replace one another, as one master volume does the last; undefined: it replaces none
 * but itself, as of parameters that name their target each does.
 * @param bytes without F0
 */
export function replacedClass(bytes: Uint8Array): string | undefined {
  return isDeviceControl(bytes) && bytes[3] !== 0x05 ? `device control ${bytes[1]} ${bytes[3]}` : undefined;
}
