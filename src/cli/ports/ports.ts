import type { Command } from 'commander';
import type { PortList } from '../../ports/port-kind.ts';
import { listPorts } from '../../ports/port-list.ts';
import { addOptions } from '../options/add-options.ts';
import type { FlagsOf } from '../options/flags-of.ts';
import { jsonText } from '../output/json-text.ts';
import { forTerminal } from '../output/terminal-text.ts';

/** `wirepit ports`: what can be named, and what is missing with the way to get it. */
export function registerPorts(program: Command): void {
  const ports = program
    .command('ports')
    .description('list the ports of this machine, how to name them, and how to get those that are missing');
  addOptions(ports, 'ports').action((flags: FlagsOf<'ports'>) => {
    const list = listPorts();
    process.stdout.write(
      flags.json ? `${jsonText(list, 2)}\n` : forTerminal(portsAsText(list), process.stdout),
    );
  });
}

const DIRECTION = { out: 'out', in: 'in', both: 'in, out' } as const;

export function portsAsText({ ports, troubles }: PortList): string {
  const width = Math.max(...ports.map((port) => port.name.length));
  const lines = ports.map(
    (port) => `${port.name.padEnd(width)}  ${DIRECTION[port.direction].padEnd(7)}  ${port.note}`,
  );
  for (const trouble of troubles)
    lines.push('', `missing: ${trouble.name} — ${trouble.reason}`, `    to get it: ${trouble.remedy}`);
  return `${lines.join('\n')}\n`;
}
