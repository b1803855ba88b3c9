import { GENERAL_MIDI } from '../../core/instrument/general-midi-instrument.ts';
import { CHANNEL_COUNT, type Seat } from '../../core/instrument/orchestra.ts';
import { MOST_PORTS } from '../../core/observe/port-state.ts';
import type { OutputSpec } from '../../engine/run/player-options.ts';
import { fetchedInstrument } from '../../profile/instrument-shelf.ts';
import { Refusal } from '../../trouble/refusal.ts';
import { channelsOf } from './channel-list.ts';
import { mapParts, portAndInstrument } from './instrument-names.ts';

/**
 * The outputs that `--port` and `--map` ask for. One port takes every channel. Several want names,
 * `--port a=serial:/dev/ttyS0 --port b=interface:1` (a number stands for one that has none), and may share the channels
 * out: `--map 1-8=a,9-16=b`. What the map does not mention goes to the first port, and so does everything where
 * there is no map: the others then get system messages. `b@name` says which instrument is behind the port; else it is
 * the one named for all.
 */
export function outputsOf(
  ports: readonly string[],
  map: string | undefined,
  instrumentName?: string,
): OutputSpec[] {
  const places = placesOf(ports, map, instrumentName);
  return places.map(({ name, port, channels, instrumentName: wanted }) => ({
    ...(places.length === 1 ? {} : { name, channels }),
    port,
    ...(wanted === undefined ? {} : { instrument: fetchedInstrument(wanted) }),
  }));
}

/** A port as the flags have it. */
interface Place {
  readonly name: string;
  readonly port: string;
  /** 0–15, ascending. */
  readonly channels: readonly number[];
  readonly instrumentName: string | undefined;
}

function placesOf(
  ports: readonly string[],
  map: string | undefined,
  instrumentName: string | undefined,
): Place[] {
  const named = ports.map((text, index) => {
    const match = /^([A-Za-z][A-Za-z0-9]*)=(.+)$/.exec(text);
    return { name: match?.[1] ?? String(index + 1), port: match?.[2] ?? text };
  });
  refuseOddNames(named.map(({ name }) => name));
  const channels = named.map(() => new Set<number>());
  const unclaimed = new Set(Array.from({ length: CHANNEL_COUNT }, (_, channel) => channel));
  const instruments = named.map(() => instrumentName);
  for (const { channels: list, to } of mapParts(map)) {
    const { port: name, instrument } = portAndInstrument(to);
    const asked = channelsOf(list);
    const index = named.findIndex((output) => output.name === name);
    if (!asked)
      throw new Refusal(`'${list}' does not say which channels go where`, '--map', 'write 1-8=a,9-16=b');
    if (index < 0) {
      const names = named.map((output) => output.name).join(', ');
      throw new Refusal(`no port is called '${name}'`, '--map', `use one of: ${names}`);
    }
    instruments[index] = instrument ?? instruments[index];
    for (const channel of asked) {
      const other = channels.findIndex((taken, n) => n !== index && taken.has(channel));
      if (other >= 0) {
        throw new Refusal(
          `channel ${channel + 1} goes to ${named[other]!.name} and to ${name}`,
          '--map',
          'send each channel to one port',
        );
      }
      channels[index]!.add(channel);
      unclaimed.delete(channel);
    }
  }
  for (const channel of unclaimed) channels[0]!.add(channel);
  return named.map(({ name, port }, index) => ({
    name,
    port,
    channels: [...channels[index]!].sort((a, b) => a - b),
    instrumentName: instruments[index],
  }));
}

/** The ports that are meant where none is named: silent ones, as many as the map speaks of, or one. */
export function portsOrSilent(ports: readonly string[], map: string | undefined): readonly string[] {
  if (ports.length > 0) return ports;
  const names = [...new Set(mapParts(map).map(({ to }) => portAndInstrument(to).port))];
  const numbers = names.filter((name) => /^\d+$/.test(name)).map(Number);
  if (numbers.length < names.length) return names.map((name) => `${name}=mock`);
  return Array.from({ length: Math.min(MOST_PORTS, Math.max(1, ...numbers)) }, () => 'mock');
}

/**
 * The instruments of a map, each with the channels that go to its port; General MIDI where a port has none.
 * Empty where there is no map.
 */
export function seatsOf(
  ports: readonly string[],
  map: string | undefined,
  instrumentName: string | undefined,
): Seat[] {
  if (map === undefined) return [];
  return placesOf(portsOrSilent(ports, map), map, instrumentName).map(
    ({ name, channels, instrumentName: wanted }) => ({
      port: name,
      channels,
      instrument: wanted === undefined ? GENERAL_MIDI : fetchedInstrument(wanted),
      instrumentName: wanted,
    }),
  );
}

function refuseOddNames(names: readonly string[]): void {
  if (names.length > MOST_PORTS) {
    throw new Refusal(
      `${names.length} ports for 16 channels`,
      '--port',
      `name ${MOST_PORTS} of them at the most`,
    );
  }
  const twice = names.find((name, index) => names.indexOf(name) < index);
  if (twice !== undefined)
    throw new Refusal(`two ports are called '${twice}'`, '--port', 'give each a name of its own');
}
