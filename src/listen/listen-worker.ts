/** The listening thread: apart from the screen, so that what arrives is stamped when it arrives. */
import { parentPort, workerData } from 'node:worker_threads';
import { favourThisThread } from '../engine/watch/thread-priority.ts';
import { threadTroubleOf } from '../trouble/thread-trouble.ts';
import type { FromListener, ListenWork, ToListener } from './listen-work.ts';
import { startListener } from './start-listener.ts';

async function listen({ options, shared }: ListenWork): Promise<FromListener> {
  // What comes in late is stamped late, and passed on late.
  const thread = favourThisThread();
  if (thread !== undefined) tell({ kind: 'thread', thread });
  const listener = await startListener(options, shared, (trouble) => tell({ kind: 'trouble', trouble }));
  parentPort!.on('message', ({ command }: ToListener) => listener.send(command));
  tell({ kind: 'ready' });
  const end = await listener.ended;
  return end.kind === 'fault' ? end : { kind: 'over', how: end.kind };
}

function tell(said: FromListener): void {
  parentPort!.postMessage(said);
}

listen(workerData as ListenWork)
  .catch(threadTroubleOf)
  .then((said) => {
    tell(said);
    parentPort!.close();
  });
