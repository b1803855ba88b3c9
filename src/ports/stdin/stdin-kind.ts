import type { PortKind } from '../port-kind.ts';
import { openStdinInput } from './input-stdin.ts';

export const STDIN_KIND: PortKind = {
  name: 'stdin',
  usage: 'stdin',
  bare: true,
  input: {
    about: 'bytes from standard input',
    open: (_rest, how) => openStdinInput(how),
  },
  list: () => ({
    ports: [{ name: 'stdin', direction: 'in', note: 'bytes from standard input, or - for short' }],
    troubles: [],
  }),
};
