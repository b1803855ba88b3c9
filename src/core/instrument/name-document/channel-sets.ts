import { childrenNamed, lineOf, numberIn, type XmlElement } from './xml-element.ts';

/** Which set of names each channel has, and what could not be understood of it. */
export interface ChannelSets {
  /** Set → channels (0–15), both in the order they come. */
  readonly sets: ReadonlyMap<XmlElement, readonly number[]>;
  readonly remarks: readonly string[];
}

/**
 * @param mode the mode whose assignments count; where it has none, each set goes where it says it is available
 */
export function channelSetsOf(device: XmlElement, mode: XmlElement): ChannelSets {
  const remarks: string[] = [];
  // The DTD has them in the device or in its modes; nowhere else is worth a walk through all patches.
  const all = [device, ...device.children.filter(({ name }) => name === 'CustomDeviceMode')].flatMap(
    (place) => childrenNamed(place, 'ChannelNameSet'),
  );
  const byName = new Map(all.map((set) => [set.attributes.Name, set]));
  const setOf = new Map<number, XmlElement>();
  const assigned = childrenNamed(mode, 'ChannelNameSetAssignments').flatMap((list) =>
    childrenNamed(list, 'ChannelNameSetAssign'),
  );
  for (const assign of assigned) {
    const channel = numberIn(assign, 'Channel', 1, 16);
    const set = byName.get(assign.attributes.NameSet);
    if (channel === undefined) remarks.push(`${lineOf(assign)} assigns names to no channel from 1 to 16`);
    else if (set === undefined) {
      const name = assign.attributes.NameSet ?? '';
      remarks.push(
        `channel ${channel} has the names "${name}", which are not in the document (${lineOf(assign)})`,
      );
    } else if (isAvailable(set, channel) === false) {
      remarks.push(`channel ${channel} is marked as not available (${lineOf(set)})`);
    } else if (!setOf.has(channel - 1)) setOf.set(channel - 1, set);
  }
  if (assigned.length === 0) {
    for (const set of all) {
      for (let channel = 1; channel <= 16; channel += 1) {
        if (isAvailable(set, channel) === true && !setOf.has(channel - 1)) setOf.set(channel - 1, set);
      }
    }
  }
  const sets = new Map<XmlElement, number[]>();
  for (const [channel, set] of [...setOf].sort(([a], [b]) => a - b)) {
    sets.set(set, [...(sets.get(set) ?? []), channel]);
  }
  return { sets, remarks };
}

/** Undefined where the set does not say. */
function isAvailable(set: XmlElement, channel: number): boolean | undefined {
  for (const list of childrenNamed(set, 'AvailableForChannels')) {
    for (const one of childrenNamed(list, 'AvailableChannel')) {
      if (numberIn(one, 'Channel', 1, 16) !== channel) continue;
      return /^(true|1|yes)$/i.test(one.attributes.Available?.trim() ?? 'true');
    }
  }
  return undefined;
}
