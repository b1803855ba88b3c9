/** Texts longer than this are cut: a lyric needs a line, and a file of one endless text must not fill memory. */
export const LONGEST_TEXT = 4096;

/**
 * Text of a meta event. The specification promises ASCII and allows other codes by agreement (SMF 1.1, 3.1):
 * what is valid UTF-8 is read as that, anything else byte by byte as ISO 8859-1. Control characters stay.
 */
export function decodeText(bytes: Uint8Array, start: number, length: number): string {
  const end = Math.min(start + Math.min(length, LONGEST_TEXT), bytes.length);
  return utf8(bytes, start, end) ?? latin1(bytes, start, end);
}

function latin1(bytes: Uint8Array, start: number, end: number): string {
  let text = '';
  for (let at = start; at < end; at += 1) text += String.fromCharCode(bytes[at]!);
  return text;
}

/** Undefined where the bytes are not UTF-8 (RFC 3629: no overlong forms, no surrogates, up to U+10FFFF). */
function utf8(bytes: Uint8Array, start: number, end: number): string | undefined {
  let text = '';
  for (let at = start; at < end; ) {
    const lead = bytes[at]!;
    if (lead < 0x80) {
      text += String.fromCharCode(lead);
      at += 1;
      continue;
    }
    const form = UTF8_FORMS.find(({ from, to }) => lead >= from && lead <= to);
    if (!form) return undefined;
    const cut = at + form.size > end && end - start === LONGEST_TEXT;
    if (cut) break; // the limit fell inside a character
    let code = lead & form.mask;
    for (let step = 1; step < form.size; step += 1) {
      const byte = at + step < end ? bytes[at + step]! : 0;
      if ((byte & 0xc0) !== 0x80) return undefined;
      code = (code << 6) | (byte & 0x3f);
    }
    if (code < form.least || code > 0x10ffff || (code >= 0xd800 && code <= 0xdfff)) return undefined;
    text += String.fromCodePoint(code);
    at += form.size;
  }
  return text;
}

const UTF8_FORMS = [
  { from: 0xc2, to: 0xdf, size: 2, mask: 0x1f, least: 0x80 },
  { from: 0xe0, to: 0xef, size: 3, mask: 0x0f, least: 0x800 },
  { from: 0xf0, to: 0xf4, size: 4, mask: 0x07, least: 0x10000 },
] as const;
