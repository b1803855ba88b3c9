/**
 * CRC-16 with polynomial 1021h and start value FFFFh, highest bit first, nothing inverted: the one that gives 29B1h
 * for the digits 1 to 9 (ITU-T V.41 polynomial; the start value is common practice). Eight lines on either
 * processor, and every single burst of up to 16 bits is found.
 */
export function crc16(bytes: ArrayLike<number>, from = 0, to = bytes.length): number {
  let crc = 0xffff;
  for (let at = from; at < to; at += 1) {
    crc ^= bytes[at]! << 8;
    for (let bit = 0; bit < 8; bit += 1)
      crc = crc & 0x8000 ? ((crc << 1) ^ 0x1021) & 0xffff : (crc << 1) & 0xffff;
  }
  return crc;
}
