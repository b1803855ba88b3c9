import { type SpawnSyncReturns, spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname } from 'node:path';
import { Refusal } from '../../trouble/refusal.ts';
import { accessOf, groupAdvice } from '../device-access.ts';

/** Why there is no hardware port, and how to get one. */
export interface HardwareTrouble {
  readonly reason: string;
  readonly remedy: string;
}

export interface HardwareNames {
  readonly outputs: readonly string[];
  readonly inputs: readonly string[];
}

const SEQUENCER = '/dev/snd/seq';

/**
 * Looks whether hardware ports can work at all, without loading the binding: undefined when nothing speaks
 * against it. Only Linux can be judged from outside; elsewhere the binding itself has to be asked.
 */
export function hardwareTrouble(
  sequencer = SEQUENCER,
  platform: string = process.platform,
): HardwareTrouble | undefined {
  if (platform !== 'linux') return undefined;
  switch (accessOf(sequencer)) {
    case 'ok':
      return undefined;
    case 'no-permission':
      return { reason: `no permission on ${sequencer}`, remedy: groupAdvice(sequencer) };
    case 'absent':
      return existsSync(dirname(sequencer))
        ? { reason: `no ALSA sequencer (${sequencer} is not there)`, remedy: 'sudo modprobe snd-seq' }
        : {
            reason: `no ALSA sound system on this machine (${dirname(sequencer)} is not there)`,
            remedy:
              'plug in a MIDI interface, load the kernel modules (sudo modprobe snd-seq snd-usb-audio), or hand /dev/snd to the container',
          };
  }
}

/**
 * Asks the binding for the port names in a child process with its standard error caught, since libasound
 * writes there directly when it fails. Costs one Node start; done once for a run that wants hardware.
 */
export function probeHardware(): HardwareNames | HardwareTrouble {
  const trouble = hardwareTrouble();
  return trouble ?? probeInChild();
}

/** The probe without the look at the device first; its failure is the binding's own. */
export function probeInChild(): HardwareNames | HardwareTrouble {
  let binding: string;
  try {
    binding = createRequire(import.meta.url).resolve('@julusian/midi');
  } catch {
    // It has a native part: where npm found none for this processor, it left the library out.
    return {
      reason: 'the MIDI library is not installed',
      remedy: 'install wirepit again; docs/install.md names the processors it is made for',
    };
  }
  const child = spawnSync(process.execPath, ['-e', PROBE, binding], {
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'pipe'],
    timeout: 10_000,
    env: { ...process.env, NODE_OPTIONS: '' },
  });
  return probeAnswer(child);
}

/** What the child found, or why it did not. */
export function probeAnswer(
  child: Pick<SpawnSyncReturns<string>, 'status' | 'stdout' | 'stderr' | 'error'>,
): HardwareNames | HardwareTrouble {
  const answer =
    child.status === 0 ? (JSON.parse(child.stdout) as HardwareNames | { error: string }) : undefined;
  if (answer !== undefined && !('error' in answer)) return answer;
  const said = answer?.error ?? child.error?.message ?? 'the probe ended early';
  const library = child.stderr.split('\n').find((line) => line.startsWith('ALSA lib'));
  return {
    reason: `the MIDI library could not be opened (${said}${library === undefined ? '' : `; ${library.trim()}`})`,
    remedy: 'check that libasound2 is installed and that /dev/snd/seq answers (aconnect -l)',
  };
}

export function hardwareRefusal(where: string, trouble: HardwareTrouble): Refusal {
  return new Refusal(trouble.reason, where, `to get it: ${trouble.remedy}`);
}

const PROBE = `
let answer;
try {
  const { Output, Input } = require(process.argv[1]);
  const names = (client) => { const all = []; for (let i = 0; i < client.getPortCount(); i += 1) all.push(client.getPortName(i)); client.destroy(); return all; };
  answer = { outputs: names(new Output()), inputs: names(new Input()) };
} catch (error) {
  answer = { error: String(error && error.message || error) };
}
process.stdout.write(JSON.stringify(answer));
`;
