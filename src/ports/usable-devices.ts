import { accessOf, groupAdvice } from './device-access.ts';
import type { MissingPort, PortList, PortListing } from './port-kind.ts';

/** Of devices whose nodes are at these paths: those that may be used, and for those that may not, how to get them. */
export function usableDevices(
  devices: readonly { readonly path: string; readonly port: PortListing }[],
): PortList {
  const ports: PortListing[] = [];
  const troubles: MissingPort[] = [];
  for (const { path, port } of devices) {
    const access = accessOf(path);
    if (access === 'ok') ports.push(port);
    else if (access === 'no-permission') {
      troubles.push({ name: port.name, reason: 'no permission', remedy: groupAdvice(path) });
    }
  }
  return { ports, troubles };
}
