import { FILE_KIND } from './file/file-kind.ts';
import { INTERFACE_KIND } from './hardware/interface-kind.ts';
import { VIRTUAL_KIND } from './hardware/virtual-kind.ts';
import { MOCK_KIND } from './mock/mock-kind.ts';
import { RTP_KIND } from './network/rtp-kind.ts';
import type { PortKind } from './port-kind.ts';
import { RAW_KIND } from './raw/raw-kind.ts';
import { SERIAL_KIND } from './serial/serial-kind.ts';
import { STDIN_KIND } from './stdin/stdin-kind.ts';

/** Every kind of port there is, in the order they are told to people. */
export const PORT_KINDS: readonly PortKind[] = [
  INTERFACE_KIND,
  VIRTUAL_KIND,
  SERIAL_KIND,
  RAW_KIND,
  RTP_KIND,
  FILE_KIND,
  STDIN_KIND,
  MOCK_KIND,
];
