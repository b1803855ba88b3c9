import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { FilePort } from '../../src/ports/file/file-port.ts';
import { HardwarePort } from '../../src/ports/hardware/hardware-port.ts';
import { MockPort } from '../../src/ports/mock/mock-port.ts';
import { openOutput } from '../../src/ports/open-output.ts';
import { openRawPort } from '../../src/ports/raw/raw-port.ts';
import { FarBoard } from '../support/far-board.ts';
import { farEnd } from '../support/far-end.ts';
import { hasSocat, PtyPair } from '../support/pty-pair.ts';
import { tempFolder } from '../support/temp-folder.ts';
import { FakeBinding } from './fake-binding.ts';
import { outputContract } from './output-contract.ts';

outputContract('mock', async () => {
  const port = new MockPort({ record: true });
  return { port, received: async () => port.recorded().bytes, cleanup: () => port.close() };
});

outputContract('file', async () => {
  const folder = tempFolder('file-port');
  const path = join(folder, 'sent.txt');
  const port = new FilePort(path);
  return {
    port,
    async received() {
      const lines = readFileSync(path, 'utf8')
        .split('\n')
        .filter((line) => line !== '' && !line.startsWith('#'));
      return Uint8Array.from(
        lines.flatMap((line) => line.split(' ').slice(1)),
        (hex) => Number.parseInt(hex, 16),
      );
    },
    cleanup: () => port.close(),
  };
});

outputContract('hardware (fake of the library)', async () => {
  const binding = new FakeBinding();
  const port = new HardwarePort('interface:Fake Module', binding, { kind: 'named', name: 'Fake Module' });
  const sent = () =>
    Uint8Array.from((binding.sent.get('Fake Module 20:0') ?? []).flatMap((message) => [...message]));
  return { port, received: async () => sent(), cleanup: () => port.close() };
});

outputContract('virtual (fake of the library)', async () => {
  const binding = new FakeBinding([]);
  const port = new HardwarePort('virtual:Desk', binding, { kind: 'virtual', name: 'Desk' });
  const sent = () => Uint8Array.from((binding.sent.get('Desk') ?? []).flatMap((message) => [...message]));
  return { port, received: async () => sent(), cleanup: () => port.close() };
});

outputContract('raw, into a FIFO', async () => {
  const folder = tempFolder('fifo');
  const path = join(folder, 'wire');
  spawnSync('mkfifo', [path]);
  const reader = farEnd(path);
  const port = openRawPort(path, false);
  return {
    port,
    received: reader.received,
    cleanup() {
      port.close();
      reader.close();
    },
  };
});

outputContract('rtp, on this machine', async () => {
  const far = await FarBoard.listening();
  const port = await openOutput(`rtp:127.0.0.1:${far.port}`);
  return {
    port,
    received: far.received,
    cleanup() {
      port.close();
      far.close();
    },
  };
});

outputContract(
  'serial, on a pty pair',
  async () => {
    const pair = await PtyPair.plugged();
    const reader = farEnd(pair.far);
    const port = await openOutput(`serial:${pair.near}`);
    return {
      port,
      received: reader.received,
      async cleanup() {
        port.close();
        reader.close();
        await pair.remove();
      },
    };
  },
  !hasSocat,
);
