import { once } from 'node:events';
import { Worker } from 'node:worker_threads';
import { workerEntry } from '../../files/worker-entry.ts';
import { Refusal } from '../../trouble/refusal.ts';
import type { KeptOutput } from '../port-kind.ts';
import { RtpLink } from './rtp-link.ts';
import { rtpTargetOf } from './rtp-name.ts';

/** What the thread is started with. */
export interface RtpWork {
  readonly link: SharedArrayBuffer;
  readonly host: string;
  readonly port: number;
  readonly wait: boolean;
}

/** Its one message: open, or why not, as the code of an error. */
export interface RtpWorkerSays {
  readonly failure: string | undefined;
}

/**
 * Starts the thread that sends to the far end.
 * @param text what follows `rtp:`
 * @throws Refusal where the name is none, or the far end cannot be sent to and nobody wants to wait for it
 */
export async function keepRtpOutput(text: string, wait: boolean): Promise<KeptOutput> {
  const { host, port } = rtpTargetOf(text);
  const link = new RtpLink();
  const workerData: RtpWork = { link: link.buffer, host, port, wait };
  const worker = new Worker(workerEntry('ports/network/rtp-worker'), { workerData });
  const exited = once(worker, 'exit');
  worker.once('exit', () => {
    link.isPresent = false;
  });
  const close = async (): Promise<void> => {
    const timer = setTimeout(() => void worker.terminate(), CLOSE_LIMIT_MS);
    worker.postMessage('close');
    await exited;
    clearTimeout(timer);
  };
  const { failure } = await new Promise<RtpWorkerSays>((resolve, reject) => {
    worker.once('message', resolve);
    worker.once('error', reject);
  });
  worker.unref();
  if (failure !== undefined) {
    await close();
    const [what, nextStep] = REASONS[failure] ?? [`the system says ${failure}`, 'look at the network'];
    throw new Refusal(what.replace('<host>', host), `rtp:${text}`, nextStep.replace('<port>', String(port)));
  }
  return { spec: `rtp:${text}`, link: link.buffer, close };
}

const CLOSE_LIMIT_MS = 1000;

const UNREACHABLE = ['there is no way to this host', 'look at the network, or start with --wait'] as const;
const UNKNOWN_HOST = ['no host <host> is known', 'write its address, or look at its name'] as const;
const REASONS: Readonly<Record<string, readonly [what: string, nextStep: string]>> = {
  ECONNREFUSED: [
    'nobody listens there',
    'start `wirepit listen --from rtp:<port>` there first, or start with --wait',
  ],
  ENOTFOUND: UNKNOWN_HOST,
  EAI_AGAIN: UNKNOWN_HOST,
  ENETUNREACH: UNREACHABLE,
  EHOSTUNREACH: UNREACHABLE,
  EACCES: ['the system does not let us send there', 'name the address of one host, not of all'],
};
