import { seeded } from './seeded.ts';

/** A name document made up for a test, with what was put into it. */
export interface MadeDocument {
  readonly text: string;
  readonly patches: number;
  /** What a sender can surely call; the other patches have something wrong with them. */
  readonly programs: readonly MadeProgram[];
  readonly kits: readonly { readonly program: number; readonly name: string }[];
}

export interface MadeProgram {
  readonly msb: number | undefined;
  readonly lsb: number | undefined;
  readonly program: number;
  readonly name: string;
}

/**
 * An own-made name document with what was met in real ones: a DOCTYPE, labels that are no numbers, programs only
 * among a patch's commands, empty and long names, programs out of range, lists named elsewhere, dangling references,
 * channels not available, a SysEx that switches a mode on, a second mode, an extension of another document.
 * @param seed the same one always makes the same document
 */
export function madeDocument(seed: number, mostPatches = 100): MadeDocument {
  const chance = seeded(seed);
  const upTo = (count: number) => Math.floor(chance() * count);
  const often = (share: number) => chance() < share;
  const extending = often(0.15);
  const programs: MadeProgram[] = [];
  const kits: { program: number; name: string }[] = [];
  let patches = 0;
  const lists: string[] = [];
  const style = upTo(3);

  const patchOf = (number: number, name: string, program: string, commands: string): string => {
    patches += 1;
    const label = often(0.3) ? `A${number + 1}` : String(number + 1);
    const call = commands === '' ? ` ProgramChange="${program}"` : '';
    const inner =
      commands === ''
        ? ''
        : `<PatchMIDICommands>${commands}<ProgramChange Number="${program}"/></PatchMIDICommands>`;
    return `<Patch Number="${label}" Name="${name}"${call}>${inner}</Patch>`;
  };

  const bankOf = (index: number): string => {
    const select = {
      msb: style === 1 ? undefined : index,
      lsb: style === 2 ? undefined : style === 1 ? index : 0,
    };
    const controls = [
      ...(select.msb === undefined ? [] : [`<ControlChange Control="0" Value="${select.msb}"/>`]),
      ...(select.lsb === undefined ? [] : [`<ControlChange Control="32" Value="${select.lsb}"/>`]),
    ].join('');
    // Where every patch brings its own commands, the bank has none.
    const inPatches = often(0.2);
    const count = 1 + upTo(Math.min(128, mostPatches));
    const body = Array.from({ length: count }, (_, number) => {
      const name = often(0.02)
        ? ''
        : often(0.1)
          ? `A rather long name of patch ${index}.${number} &amp; more`
          : `P${index}.${number}`;
      const commands = inPatches ? controls : '';
      if (often(0.01)) return patchOf(number, name, '128', commands);
      if (often(0.01)) return patchOf(number, name, 'first', commands);
      programs.push({ ...select, program: number, name: name.replace('&amp;', '&') });
      return patchOf(number, name, String(number), commands);
    }).join('\n');
    const commands = inPatches ? '' : `<MIDICommands>${controls}</MIDICommands>`;
    if (often(0.5)) {
      return `<PatchBank Name="Bank ${index}">${commands}<PatchNameList Name="List ${index}">${body}</PatchNameList></PatchBank>`;
    }
    lists.push(`<PatchNameList Name="List ${index}">${body}</PatchNameList>`);
    return `<PatchBank Name="Bank ${index}">${commands}<UsesPatchNameList Name="List ${index}"/></PatchBank>`;
  };

  const banks = Array.from({ length: 1 + upTo(6) }, (_, index) => bankOf(index)).join('\n');
  const dangling = often(0.1) ? '<PatchBank Name="Lost"><UsesPatchNameList Name="Nowhere"/></PatchBank>' : '';
  const away = often(0.2) ? 4 : 0;
  const available = Array.from({ length: 16 }, (_, at) => at + 1)
    .filter((channel) => channel !== 10)
    .map((channel) => `<AvailableChannel Channel="${channel}" Available="${channel !== away}"/>`)
    .join('');
  const melodic = `<ChannelNameSet Name="Tones"><AvailableForChannels>${available}</AvailableForChannels>${banks}${dangling}</ChannelNameSet>`;
  kits.push({ program: 0, name: 'Plain Kit' }, { program: 8, name: 'Tin Kit' });
  const drums = `<ChannelNameSet Name="Beats"><AvailableForChannels><AvailableChannel Channel="10" Available="true"/></AvailableForChannels>
<UsesNoteNameList Name="Keys"/><PatchBank Name="Kits"><PatchNameList Name="Kits">${patchOf(0, 'Plain Kit', '0', '')}${patchOf(8, 'Tin Kit', '8', '')}</PatchNameList></PatchBank></ChannelNameSet>`;
  const assigns = Array.from(
    { length: 16 },
    (_, at) => `<ChannelNameSetAssign Channel="${at + 1}" NameSet="${at === 9 ? 'Beats' : 'Tones'}"/>`,
  ).join('');
  const enable = often(0.1)
    ? '<DeviceModeEnable><MIDICommands><SysEx>F0 7D 01 F7</SysEx></MIDICommands></DeviceModeEnable>'
    : '';
  const second = often(0.2)
    ? `<CustomDeviceMode Name="Other"><ChannelNameSetAssignments><ChannelNameSetAssign Channel="1" NameSet="Tones"/></ChannelNameSetAssignments></CustomDeviceMode>`
    : '';
  const unusedPatch = often(0.2)
    ? `<PatchNameList Name="Unused">${patchOf(0, 'Nobody asks', '0', '')}</PatchNameList>`
    : '';
  const master = extending ? 'ExtendingDeviceNames' : 'MasterDeviceNames';
  const text = `<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE MIDINameDocument PUBLIC "-//Nobody//DTD Made Up 1.0//EN" "http://127.0.0.1:9/never-fetched.dtd">
<MIDINameDocument><Author>made by a test</Author><${master}><Manufacturer>Nobody</Manufacturer><Model>Box ${seed}</Model>
<CustomDeviceMode Name="Main">${enable}<ChannelNameSetAssignments>${assigns}</ChannelNameSetAssignments></CustomDeviceMode>${second}
${melodic}
${drums}
${lists.join('\n')}${unusedPatch}
<NoteNameList Name="Keys"><NoteGroup Name="All"><Note Number="36" Name="Low Thud"/></NoteGroup><Note Number="38" Name="Snap"/></NoteNameList>
<ControlNameList Name="Controls"><Control Type="7bit" Number="1" Name="Wobble"/></ControlNameList>
</${master}></MIDINameDocument>
`;
  return { text, patches, programs, kits };
}
