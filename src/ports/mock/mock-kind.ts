import { MIDI_WIRE } from '../../core/wire/wire-traits.ts';
import type { PortKind } from '../port-kind.ts';
import { MockPort } from './mock-port.ts';

export const MOCK_KIND: PortKind = {
  name: 'mock',
  usage: 'mock',
  bare: true,
  output: {
    about: 'a pretended 31,250-baud wire',
    wire: () => MIDI_WIRE,
    open: () => new MockPort(),
  },
  list: () => ({
    ports: [{ name: 'mock', direction: 'out', note: 'a pretended 31,250-baud wire that leads nowhere' }],
    troubles: [],
  }),
};
