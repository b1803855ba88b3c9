/**
 * Reads a stream of MIDI bytes as a receiver would and keeps what it would hold, by the words of the MIDI 1.0
 * Detailed Specification alone. It shares no code with the program: it is the judge of what the program sent.
 */
export class WireReader {
  /** Note-ons not yet answered by a note-off, by `channel * 128 + key` (p. A-4: two ons, two offs). */
  readonly open = new Map<number, number>();
  /** `channel:what` → last value said. Controllers as `channel:cc<number>`. */
  readonly said = new Map<string, number>();
  /** A General MIDI reset came: what was not said since then is at rest. */
  wasReset = false;
  readonly messages: number[][] = [];
  readonly noteOns: { channel: number; key: number; velocity: number }[] = [];
  /** Anything a receiver would trip over. */
  readonly faults: string[] = [];
  #status = 0;
  #data: number[] = [];
  #sysEx: number[] | undefined;
  readonly #msbClearsLsb: boolean;

  /** @param msbClearsLsb a receiver that sets the LSB to 0 when a new MSB comes (p. 12), or one that does not */
  constructor(msbClearsLsb = true) {
    this.#msbClearsLsb = msbClearsLsb;
  }

  read(bytes: Iterable<number>): void {
    for (const byte of bytes) this.#byte(byte);
  }

  /** Strikes still sounding. */
  get sounding(): number {
    let strikes = 0;
    for (const count of this.open.values()) strikes += count;
    return strikes;
  }

  /** Channels whose damper pedal is down, whose bend is off its centre. */
  get unrestful(): string[] {
    const list: string[] = [];
    for (const [what, value] of this.said) {
      if (/:cc(64|66|67|69)$/.test(what) && value > 0) list.push(what);
      if (/:bend$/.test(what) && value !== 8192) list.push(what);
    }
    return list;
  }

  #byte(byte: number): void {
    if (byte >= 0xf8) {
      this.messages.push([byte]); // real-time: between any two bytes, changes nothing (p. 30)
      return;
    }
    if (byte >= 0x80) {
      this.#newStatus(byte);
      return;
    }
    if (this.#sysEx !== undefined) {
      this.#sysEx.push(byte);
      return;
    }
    if (this.#status === 0) {
      this.faults.push(`data byte ${byte.toString(16)} without a status`);
      return;
    }
    this.#data.push(byte);
    if (this.#data.length === lengthOf(this.#status)) {
      this.#message([this.#status, ...this.#data]);
      this.#data = [];
      if (this.#status >= 0xf0) this.#status = 0; // no running status for system common (p. A-1)
    }
  }

  #newStatus(byte: number): void {
    if (this.#data.length > 0) this.faults.push(`message ${this.#status.toString(16)} cut short`);
    this.#data = [];
    if (this.#sysEx !== undefined) {
      if (byte === 0xf7) this.#sysExEnded(this.#sysEx);
      else this.faults.push('SysEx ended by a status');
      this.#sysEx = undefined;
      if (byte === 0xf7) {
        this.#status = 0;
        return;
      }
    }
    this.#status = byte;
    if (byte === 0xf0) this.#sysEx = [];
    if (byte === 0xf0 || lengthOf(byte) === 0) this.#status = 0;
    if (byte === 0xf7) this.faults.push('F7 outside SysEx');
  }

  #message(bytes: number[]): void {
    this.messages.push(bytes);
    const [status = 0, data1 = 0, data2 = 0] = bytes;
    const channel = status & 0x0f;
    const place = channel * 128 + data1;
    switch (status & 0xf0) {
      case 0x90:
        if (data2 === 0) this.#release(place);
        else {
          this.open.set(place, (this.open.get(place) ?? 0) + 1);
          this.noteOns.push({ channel, key: data1, velocity: data2 });
        }
        break;
      case 0x80:
        this.#release(place);
        break;
      case 0xa0:
        this.said.set(`${channel}:key${data1}`, data2);
        break;
      case 0xb0:
        this.#control(channel, data1, data2);
        break;
      case 0xc0:
        this.said.set(`${channel}:program`, data1);
        this.said.set(`${channel}:bankOfProgram`, this.#bank(channel));
        break;
      case 0xd0:
        this.said.set(`${channel}:pressure`, data1);
        break;
      case 0xe0:
        this.said.set(`${channel}:bend`, data1 + 128 * data2);
        break;
    }
  }

  #control(channel: number, controller: number, value: number): void {
    const say = (what: string, to: number) => this.said.set(`${channel}:${what}`, to);
    if ([6, 38, 96, 97].includes(controller)) {
      const parameter = this.#parameter(channel);
      if (parameter === undefined) return; // nothing selected, or null: ignored
      const [msb, lsb, steps] = ['msb', 'lsb', 'steps'].map((part) => `${parameter}.${part}`) as [
        string,
        string,
        string,
      ];
      if (controller >= 96)
        say(steps, (this.said.get(`${channel}:${steps}`) ?? 0) + (controller === 96 ? 1 : -1));
      else say(steps, 0);
      if (controller === 6) say(msb, value);
      if (controller === 38) say(lsb, value);
      if (controller === 6 && this.#msbClearsLsb && this.said.has(`${channel}:${lsb}`)) say(lsb, 0);
      return;
    }
    if (controller === 121) {
      this.#resetControllers(channel);
      return;
    }
    say(`cc${controller}`, value);
    if (controller >= 98 && controller <= 101) say('selected', controller >= 100 ? 1 : 2);
    if (controller === 126 || controller === 127) say('mono', controller === 126 ? value + 1 : 0);
    if (controller === 124 || controller === 125) say('omni', controller - 124);
    // Bank select is left out: modules keep its halves apart.
    const low = `cc${controller + 32}`;
    if (this.#msbClearsLsb && controller > 0 && controller < 32 && this.said.has(`${channel}:${low}`))
      say(low, 0);
  }

  /** `rpn 0`, `nrpn 130`, … or undefined while none is selected (p. 17; null: GM1 developer guidelines). */
  #parameter(channel: number): string | undefined {
    const selected = this.said.get(`${channel}:selected`) ?? 0;
    if (selected === 0) return undefined;
    const high = selected === 1 ? 101 : 99;
    const half = (controller: number) => this.said.get(`${channel}:cc${controller}`) ?? 127;
    const number = half(high) * 128 + half(high - 1);
    return number === 0x3fff ? undefined : `${selected === 1 ? 'rpn' : 'nrpn'} ${number}`;
  }

  #sysExEnded(data: readonly number[]): void {
    this.messages.push([0xf0, ...data, 0xf7]);
    const [id, , sub1, sub2, low = 0, high = 0] = data;
    if (id === 0x7e && sub1 === 0x09) {
      this.said.clear();
      this.wasReset = true;
    }
    if (id === 0x7f && sub1 === 0x04 && sub2 === 0x01) this.said.set('master volume', low + 128 * high);
  }

  #bank(channel: number): number {
    return (this.said.get(`${channel}:cc0`) ?? 0) * 128 + (this.said.get(`${channel}:cc32`) ?? 0);
  }

  #release(place: number): void {
    const strikes = this.open.get(place) ?? 0;
    if (strikes > 1) this.open.set(place, strikes - 1);
    else this.open.delete(place);
  }

  /** RP-015 (MMA, 1998), from memory. */
  #resetControllers(channel: number): void {
    this.said.set(`${channel}:cc1`, 0);
    this.said.set(`${channel}:cc11`, 127);
    for (const pedal of [64, 65, 66, 67, 68, 69]) this.said.set(`${channel}:cc${pedal}`, 0);
    for (const selection of [98, 99, 100, 101]) this.said.set(`${channel}:cc${selection}`, 127);
    this.said.set(`${channel}:selected`, 1);
    this.said.set(`${channel}:bend`, 8192);
    this.said.set(`${channel}:pressure`, 0);
    for (let key = 0; key < 128; key += 1) {
      if (this.said.has(`${channel}:key${key}`)) this.said.set(`${channel}:key${key}`, 0);
    }
  }
}

/** Data bytes after a status (Tables I–VI). */
function lengthOf(status: number): number {
  if (status < 0xf0) return (status & 0xe0) === 0xc0 ? 1 : 2;
  if (status === 0xf2) return 2;
  return status === 0xf1 || status === 0xf3 ? 1 : 0;
}
