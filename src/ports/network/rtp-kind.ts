import type { PortKind } from '../port-kind.ts';
import { openRtpInput } from './input-rtp.ts';
import { RtpLink } from './rtp-link.ts';
import { RTP_WIRE, rtpTargetOf } from './rtp-name.ts';
import { RtpPort } from './rtp-port.ts';
import { keepRtpOutput } from './rtp-thread.ts';

export const RTP_KIND: PortKind = {
  name: 'rtp',
  usage: 'rtp:[<host>:]<port>[@ms]',
  output: {
    about: 'another board, over the network',
    wire(rest) {
      rtpTargetOf(rest);
      return RTP_WIRE;
    },
    open: (rest, { link }) => new RtpPort(`rtp:${rest}`, new RtpLink(link)),
    keep: keepRtpOutput,
  },
  input: {
    about: 'another board, over the network',
    open: openRtpInput,
  },
  list: () => ({
    ports: [
      { name: 'rtp:<host>:<port>', direction: 'out', note: 'another board, over a network of your own' },
      { name: 'rtp:<port>', direction: 'in', note: 'what another board sends to this machine' },
    ],
    troubles: [],
  }),
};
