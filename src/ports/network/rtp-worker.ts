/** The thread that has the socket of an RTP output: apart from the screen, so that its painting holds up no packet. */
import { parentPort, workerData } from 'node:worker_threads';
import { RtpLink } from './rtp-link.ts';
import type { RtpWork, RtpWorkerSays } from './rtp-thread.ts';
import { RtpTransmitter } from './rtp-transmitter.ts';

const { link, host, port, wait } = workerData as RtpWork;
const transmitter = new RtpTransmitter(new RtpLink(link), host, port);
const keeper = parentPort!;

keeper.once('message', () => {
  void transmitter.close().then(() => keeper.close());
});
const failure = await transmitter.open(wait);
keeper.postMessage({ failure } satisfies RtpWorkerSays);
