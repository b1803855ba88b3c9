/** What can be wrong with a line, in the order in which it is named. */
export const LOOP_CODES = [
  'nothing-came',
  'port-lost',
  'input-lost',
  'not-the-pattern',
  'comes-twice',
  'framing',
  'baud-off',
  'bit-stuck',
  'bits-changed',
  'buffer-overrun',
  'long-sysex-cut',
  'real-time-filtered',
  'bytes-lost',
  'others-send',
  'bytes-added',
  'gaps',
  'queues',
  'slow',
  'unsteady',
] as const;
export type LoopCode = (typeof LOOP_CODES)[number];

export interface LoopWords {
  readonly text: string;
  /** What to look at. */
  readonly look: string;
}

/** Words for each: in the report and in docs/loop.md. */
export const LOOP_GUIDE: Readonly<Record<LoopCode, LoopWords>> = {
  'nothing-came': {
    text: 'nothing came at all',
    look: 'do Out and In face each other; is the cable a MIDI cable with the current loop’s two wires; is it the right port?',
  },
  'port-lost': {
    text: 'the output went away',
    look: 'plug, power, and what the system log says of the device',
  },
  'input-lost': {
    text: 'the input went away',
    look: 'plug, power, and what the system log says of the device',
  },
  'not-the-pattern': {
    text: 'what came is not the pattern',
    look: 'does another machine send on this line; were both ends given the same --rounds?',
  },
  'comes-twice': {
    text: 'every byte comes twice',
    look: 'something passes on what it gets (Soft Thru, echo, Local Control): switch it off, or break the second way',
  },
  framing: {
    text: 'the receiver saw broken bytes',
    look: 'both baud rates and stop bits; the optocoupler’s edges and its pull-up; long cables; a shared ground',
  },
  'baud-off': {
    text: 'the far end’s baud rate is off by more than the 1 % that MIDI 1.0 allows (p. 1)',
    look: 'the divisor of its clock, and whether the crystal is the one the divisor was reckoned for',
  },
  'bit-stuck': {
    text: 'it is always the same bit that changes',
    look: 'the data line of that bit: a solder joint, a bus that is not driven, a wrong mask in the code',
  },
  'bits-changed': {
    text: 'bits change on the way',
    look: 'baud rate near its limit, slow edges at the optocoupler, noise on the ground; a byte overwritten while it is sent',
  },
  'buffer-overrun': {
    text: 'bytes are lost where they come without a pause',
    look: 'a receive buffer that runs full, or an interrupt that comes too late: is each byte fetched within 320 µs?',
  },
  'long-sysex-cut': {
    text: 'only long SysEx loses bytes',
    look: 'the buffer for SysEx is shorter than the message: pass it on in pieces, as it comes',
  },
  'real-time-filtered': {
    text: 'only real-time bytes are missing',
    look: 'a filter for clock, Active Sensing or System Reset, or a parser that takes them for an end of the message around them',
  },
  'bytes-lost': {
    text: 'bytes are lost',
    look: 'is the transmitter’s ready bit polled before each byte; does an interrupt come between; is a plug loose?',
  },
  'others-send': {
    text: 'something else sends clock or Active Sensing on this line',
    look: 'a merger or the far machine itself: it does no harm, but the line is not this test’s alone',
  },
  'bytes-added': {
    text: 'bytes came that nobody sent',
    look: 'noise on an open input, a merger with a second sender, a byte sent again because its ready bit was read too early',
  },
  gaps: {
    text: 'the far end leaves gaps between its bytes: the wire is not used in full',
    look: 'two stop bits instead of one; a loop that waits for the transmitter to be empty instead of ready',
  },
  queues: {
    text: 'bytes wait longer than the wire explains',
    look: 'buffers on the way: a USB interface’s, a driver’s, a receive buffer that is read too seldom',
  },
  slow: {
    text: 'a message on an idle line takes long',
    look: 'a timer that polls the receiver, a USB frame or a driver’s latency timer: have it hand over each byte at once',
  },
  unsteady: {
    text: 'the time a message takes varies much',
    look: 'polling, other work with a higher priority, power saving of the USB bus',
  },
};
