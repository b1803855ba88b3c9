import { probeHardware } from './hardware/hardware-trouble.ts';
import type { PortList, PortSources } from './port-kind.ts';
import { PORT_KINDS } from './port-kinds.ts';

const HERE: PortSources = { root: '/', probe: probeHardware };

/** Everything `--port`, `--from` and `--thru` can name on this machine. Opens no device. */
export function listPorts(sources: PortSources = HERE): PortList {
  // Two kinds ask for it, and asking starts a process.
  let found: ReturnType<PortSources['probe']> | undefined;
  const once: PortSources = {
    root: sources.root,
    probe() {
      found ??= sources.probe();
      return found;
    },
  };
  const lists = PORT_KINDS.map((kind) => kind.list(once));
  return { ports: lists.flatMap(({ ports }) => ports), troubles: lists.flatMap(({ troubles }) => troubles) };
}
