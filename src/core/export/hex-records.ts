const DATA = 0;
const END_OF_FILE = 1;

/**
 * Memory as Intel HEX (Hexadecimal Object File Format Specification, 1988), data and end records only: addresses of 16
 * bits need no others. @param recordBytes bytes of data in a record, 1–255
 */
export function hexRecords(bytes: Uint8Array, loadAddress: number, recordBytes: number): string {
  const lines: string[] = [];
  for (let at = 0; at < bytes.length; at += recordBytes)
    lines.push(hexRecord(DATA, loadAddress + at, bytes.subarray(at, at + recordBytes)));
  lines.push(hexRecord(END_OF_FILE, 0, new Uint8Array()));
  return `${lines.join('\r\n')}\r\n`;
}

function hexRecord(kind: number, address: number, data: Uint8Array): string {
  const bytes = [data.length, address >> 8, address & 0xff, kind, ...data];
  const sum = bytes.reduce((total, byte) => total + byte, 0);
  return `:${[...bytes, -sum & 0xff].map((byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join('')}`;
}
