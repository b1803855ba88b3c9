import type { Key } from './key.ts';
import {
  KEY_BY_CONSOLE_LETTER,
  KEY_BY_CONTROL,
  KEY_BY_LETTER,
  KEY_BY_NUMBER,
  modifierPrefix,
} from './key-sequences.ts';
import { type Mouse, mouseOf } from './mouse.ts';
import { PastedBytes } from './pasted-bytes.ts';

/** What comes from the terminal: keys, pasted text, the mouse where it was asked for, and answers to our questions. */
export type TerminalInput =
  | { readonly kind: 'key'; readonly key: Key }
  | { readonly kind: 'paste'; readonly text: string }
  | { readonly kind: 'mouse'; readonly mouse: Mouse }
  /** `letters`: intermediate and final characters, 'n' for a status report, '$y' for a mode report. */
  | { readonly kind: 'report'; readonly letters: string; readonly parameters: readonly number[] };

const KEY_PATIENCE_MILLIS = 60;
const PASTE_PATIENCE_MILLIS = 3000;
/** A control sequence longer than this is noise. */
const SEQUENCE_LIMIT = 64;

/**
 * Bytes typed at a terminal → keys, pastes, reports. Any cut of the bytes into pieces gives the same; what may
 * be half received (a lone ESC) stays open until more comes or `flush` says that the time for more is over. Sequences
 * that are no key (focus, noise) are passed over whole; invalid UTF-8 is dropped.
 */
export class KeyDecoder {
  #state: 'ground' | 'escape' | 'control' | 'single' | 'console' | 'string' | 'terminator' = 'ground';
  #sequence = '';
  #isAlt = false;
  #codePoint = 0;
  #continuations = 0;
  #lowest = 0;
  #paste: PastedBytes | undefined;
  #out: TerminalInput[] = [];

  /**
   * How long to wait for more before `flush`, in milliseconds; 0 when nothing is half received. The bytes of
   * one key come together, also over a slow link; a paste may take its time, but must not swallow keys for ever.
   */
  get patienceMillis(): number {
    if (this.#paste !== undefined) return PASTE_PATIENCE_MILLIS;
    return this.#state === 'ground' ? 0 : KEY_PATIENCE_MILLIS;
  }

  decode(bytes: Uint8Array): TerminalInput[] {
    for (const byte of bytes) {
      if (this.#paste !== undefined) this.#pasted(byte);
      else STEPS[this.#state](this, byte);
    }
    return this.#taken();
  }

  /** Nothing more belongs to what has begun: a lone ESC is the escape key. */
  flush(): TerminalInput[] {
    if (this.#state === 'escape') {
      if (this.#isAlt) this.#key('escape', 'alt-');
      else this.#key('escape');
    } else if (this.#state === 'control' && this.#sequence === '') this.#key('[', 'alt-');
    else if (this.#state === 'single') this.#key('O', 'alt-');
    if (this.#paste !== undefined) this.#endPaste();
    this.#reset();
    return this.#taken();
  }

  #taken(): TerminalInput[] {
    const taken = this.#out;
    this.#out = [];
    return taken;
  }

  #reset(): void {
    this.#state = 'ground';
    this.#sequence = '';
    this.#isAlt = false;
    this.#continuations = 0;
  }

  #key(name: string, prefix = '', text = ''): void {
    this.#out.push({ kind: 'key', key: { name: prefix + name, text } });
  }

  #ground(byte: number): void {
    const prefix = this.#isAlt ? 'alt-' : '';
    if (this.#continuations > 0) {
      if ((byte & 0xc0) === 0x80) {
        this.#codePoint = (this.#codePoint << 6) | (byte & 0x3f);
        this.#continuations -= 1;
        if (this.#continuations === 0) this.#character(prefix);
        return;
      }
      this.#continuations = 0;
    }
    if (byte === ESCAPE) {
      this.#state = 'escape';
    } else if (byte >= 0x80) {
      this.#startUtf8(byte);
    } else {
      this.#isAlt = false;
      const known = KEY_BY_CONTROL[byte];
      if (known !== undefined) this.#key(known, prefix);
      else if (byte < 0x20) this.#key(String.fromCharCode(byte + 0x60), `ctrl-${prefix}`);
      else this.#printable(byte, prefix);
    }
  }

  #printable(codePoint: number, prefix: string): void {
    const text = String.fromCodePoint(codePoint);
    this.#key(text === ' ' ? 'space' : text, prefix, prefix === '' ? text : '');
  }

  /** RFC 3629: the first byte tells the length and, with `lowest`, rules out longer forms than needed. */
  #startUtf8(byte: number): void {
    if (byte >= 0xc2 && byte < 0xe0)
      [this.#continuations, this.#codePoint, this.#lowest] = [1, byte & 0x1f, 0x80];
    else if (byte >= 0xe0 && byte < 0xf0)
      [this.#continuations, this.#codePoint, this.#lowest] = [2, byte & 0x0f, 0x800];
    else if (byte >= 0xf0 && byte < 0xf5)
      [this.#continuations, this.#codePoint, this.#lowest] = [3, byte & 0x07, 0x10000];
    else this.#isAlt = false;
  }

  #character(prefix: string): void {
    this.#isAlt = false;
    const codePoint = this.#codePoint;
    const isSurrogate = codePoint >= 0xd800 && codePoint < 0xe000;
    if (codePoint < this.#lowest || codePoint > 0x10ffff || isSurrogate) return;
    // C1 control characters typed in UTF-8 are no keys.
    if (codePoint >= 0xa0) this.#printable(codePoint, prefix);
  }

  #escape(byte: number): void {
    if (byte === ESCAPE) {
      // ESC ESC [ A is alt with an arrow on some terminals; ESC ESC alone is the key twice.
      if (this.#isAlt) this.#key('escape');
      this.#isAlt = true;
      return;
    }
    if (byte === LEFT_BRACKET) this.#state = 'control';
    else if (byte === CAPITAL_O) this.#state = 'single';
    else if (byte === RIGHT_BRACKET || byte === CAPITAL_P || byte === UNDERSCORE) this.#state = 'string';
    else {
      this.#state = 'ground';
      this.#isAlt = true;
      this.#ground(byte);
    }
  }

  #control(byte: number): void {
    if (byte === LEFT_BRACKET && this.#sequence === '') {
      this.#state = 'console';
    } else if (byte === ESCAPE) {
      this.#reset();
      this.#state = 'escape';
    } else if (byte >= 0x20 && byte < 0x40) {
      this.#sequence += String.fromCharCode(byte);
      if (this.#sequence.length > SEQUENCE_LIMIT) this.#reset();
    } else {
      const sequence = this.#sequence;
      const isAlt = this.#isAlt;
      this.#reset();
      if (byte >= 0x40 && byte < 0x7f)
        this.#controlSequence(sequence, String.fromCharCode(byte), isAlt ? 'alt-' : '');
    }
  }

  #controlSequence(sequence: string, final: string, prefix: string): void {
    const parameters = (sequence.match(/\d+|(?<=^|;)(?=;|$)/g) ?? []).map(Number);
    const letters = sequence.replace(/[0-9;:<=>?]/g, '') + final;
    if (final === '~') {
      if (parameters[0] === 200) this.#paste = new PastedBytes();
      const name = KEY_BY_NUMBER[parameters[0] ?? 0];
      if (name !== undefined) this.#key(name, prefix + modifierPrefix(parameters[1]));
    } else if (letters === 'n' || letters === '$y' || letters === 'c') {
      // The terminal answered just after the escape key: two things, not one with alt.
      if (prefix !== '') this.#key('escape');
      this.#out.push({ kind: 'report', letters, parameters });
    } else if (sequence.startsWith('<') && letters === 'M') {
      const mouse = mouseOf(parameters);
      if (mouse !== undefined) this.#out.push({ kind: 'mouse', mouse });
    } else if (!/[<=>?]/.test(sequence) && letters.length === 1) {
      const name = KEY_BY_LETTER[final];
      if (name !== undefined) this.#key(name, prefix + modifierPrefix(parameters[1]));
    }
  }

  #single(byte: number): void {
    const name = KEY_BY_LETTER[String.fromCharCode(byte)];
    const prefix = this.#isAlt ? 'alt-' : '';
    this.#reset();
    if (name !== undefined) this.#key(name, prefix);
  }

  #console(byte: number): void {
    const name = KEY_BY_CONSOLE_LETTER[String.fromCharCode(byte)];
    this.#reset();
    if (name !== undefined) this.#key(name);
  }

  /** A control string (an answer about colours, say): passed over up to ST or BEL. */
  #string(byte: number): void {
    if (byte === BELL) this.#reset();
    if (byte === ESCAPE) this.#state = 'terminator';
  }

  #terminator(byte: number): void {
    this.#reset();
    if (byte === BACKSLASH) return;
    this.#state = 'escape';
    this.#escape(byte);
  }

  #pasted(byte: number): void {
    if (this.#paste?.isEnd(byte)) this.#endPaste();
  }

  #endPaste(): void {
    this.#out.push({ kind: 'paste', text: this.#paste!.text() });
    this.#paste = undefined;
  }

  /** One step for each state; kept here so that the private methods stay private. */
  static readonly steps = {
    ground: (decoder: KeyDecoder, byte: number) => decoder.#ground(byte),
    escape: (decoder: KeyDecoder, byte: number) => decoder.#escape(byte),
    control: (decoder: KeyDecoder, byte: number) => decoder.#control(byte),
    single: (decoder: KeyDecoder, byte: number) => decoder.#single(byte),
    console: (decoder: KeyDecoder, byte: number) => decoder.#console(byte),
    string: (decoder: KeyDecoder, byte: number) => decoder.#string(byte),
    terminator: (decoder: KeyDecoder, byte: number) => decoder.#terminator(byte),
  };
}

const STEPS = KeyDecoder.steps;
const BELL = 0x07;
const ESCAPE = 0x1b;
const BACKSLASH = 0x5c;
const CAPITAL_O = 0x4f;
const CAPITAL_P = 0x50;
const LEFT_BRACKET = 0x5b;
const RIGHT_BRACKET = 0x5d;
const UNDERSCORE = 0x5f;
