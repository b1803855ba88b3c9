import { describe, expect, test } from 'vitest';
import { parseNameDocument } from '../../../src/profile/read-name-document.ts';

/** Elements as MIDINameDocument DTD 1.0 (MMA, 2003) has them; each on a line of its own, so that remarks name it. */
const read = (...lines: string[]) =>
  parseNameDocument(
    ['<MIDINameDocument><MasterDeviceNames>', ...lines, '</MasterDeviceNames></MIDINameDocument>'].join('\n'),
    'box.midnam',
  );
const control = (number: number, value: number | string) =>
  `<ControlChange Control="${number}" Value="${value}"/>`;
const patch = (program: number | string, name: string, inside = '') =>
  `<Patch Name="${name}" ProgramChange="${program}">${inside}</Patch>`;
const list = (...patches: string[]) => `<PatchNameList>${patches.join('')}</PatchNameList>`;
const bank = (name: string, commands: string, content: string) =>
  `<PatchBank Name="${name}"><MIDICommands>${commands}</MIDICommands>${content}</PatchBank>`;
const available = (...channels: (readonly [channel: number, is?: string])[]) =>
  `<AvailableForChannels>${channels
    .map(
      ([channel, is]) =>
        `<AvailableChannel Channel="${channel}"${is === undefined ? '' : ` Available="${is}"`}/>`,
    )
    .join('')}</AvailableForChannels>`;
const set = (name: string, ...content: string[]) =>
  `<ChannelNameSet Name="${name}">${content.join('')}</ChannelNameSet>`;
const mode = (...assigned: (readonly [channel: number | string, set: string])[]) =>
  `<CustomDeviceMode Name="Main"><ChannelNameSetAssignments>${assigned
    .map(([channel, name]) => `<ChannelNameSetAssign Channel="${channel}" NameSet="${name}"/>`)
    .join('')}</ChannelNameSetAssignments></CustomDeviceMode>`;
const tones = (name: string, ...more: string[]) =>
  set(name, ...more, bank(name, '', list(patch(0, `${name} 1`))));
const keys = (...notes: (readonly [key: number | string, name: string])[]) =>
  `<NoteNameList Name="K">${notes.map(([key, name]) => `<Note Number="${key}" Name="${name}"/>`).join('')}</NoteNameList>`;

describe('which channels are heard', () => {
  const heard = (...lines: string[]) => read(...lines).instrument.channels.map((channel) => channel + 1);

  test('those that a mode assigns, once each, in any order', () => {
    expect(heard(mode([16, 'A'], [1, 'A'], [3, 'B'], [1, 'B']), tones('A'), tones('B'))).toEqual([1, 3, 16]);
  });

  test('where none assigns, those for which a set says that it is available; of two sets the first', () => {
    const sets = [
      tones('A', available([1], [2, 'false'], [16, 'true'])),
      tones('B', available([1], [2], [3, 'no'])),
    ];
    expect(heard(...sets)).toEqual([1, 2, 16]);
    // A mode that assigns something leaves no say to the sets.
    expect(heard(mode([5, 'A']), ...sets)).toEqual([5]);
    expect(heard(tones('A'))).toHaveLength(16);
  });

  test.each([
    ['true', true],
    ['TRUE', true],
    [' 1 ', true],
    ['yes', true],
    ['false', false],
    ['0', false],
    ['truely', false],
  ])('available "%s" is %s', (word, is) => {
    expect(heard(tones('A', available([4, word], [5])))).toEqual(is ? [4, 5] : [5]);
    expect(heard(mode([4, 'A'], [5, 'A']), tones('A', available([4, word])))).toEqual(is ? [4, 5] : [5]);
  });

  test('what is no channel is told, with its line', () => {
    const { remarks } = read(mode([17, 'A'], [0, 'A'], [2, 'Gone']), tones('A'));
    expect(remarks.slice(0, 3)).toEqual([
      'line 2 assigns names to no channel from 1 to 16',
      'line 2 assigns names to no channel from 1 to 16',
      'channel 2 has the names "Gone", which are not in the document (line 2)',
    ]);
  });
});

describe('how a sound is called', () => {
  const banksOf = (...content: string[]) => {
    const { instrument, remarks } = read(mode([1, 'A']), set('A', ...content));
    const banks = instrument.banks.map(
      ({ name, msb, lsb, programs }) =>
        `${name} ${msb}/${lsb}: ${programs.map(({ number, name: called }) => `${number} ${called}`).join(', ')}`,
    );
    return { banks, remarks };
  };
  const own = (commands: string) => `<PatchMIDICommands>${commands}</PatchMIDICommands>`;

  test('by the bank’s select, which a patch may say otherwise, half by half', () => {
    const { banks, remarks } = banksOf(
      bank(
        'B',
        control(0, 1) + control(32, 2) + control(7, 99),
        list(patch(5, 'Both'), patch(5, 'Fine', own(control(32, 3))), patch(5, 'Coarse', own(control(0, 4)))),
      ),
    );
    expect(banks).toEqual(['B 1/2: 5 Both', 'B 1/3: 5 Fine', 'B 4/2: 5 Coarse']);
    expect(remarks).toEqual([]);
  });

  test('a value that is none leaves the select as it was', () => {
    expect(banksOf(bank('B', control(0, 128) + control(32, 'x'), list(patch(0, 'A')))).banks).toEqual([
      'B undefined/undefined: 0 A',
    ]);
    expect(
      banksOf(bank('B', control(0, 127) + control(0, 128) + control(32, 0), list(patch(0, 'A')))).banks,
    ).toEqual(['B 127/0: 0 A']);
  });

  test('by the last Program Change among its own commands; programs in order', () => {
    const change = (number: number) => `<ProgramChange Number="${number}"/>`;
    const { banks } = banksOf(
      bank(
        'B',
        '',
        list(`<Patch Name="Last">${own(change(9) + change(127))}</Patch>`, patch(126, 'First'), patch(0, '')),
      ),
    );
    expect(banks).toEqual(['B undefined/undefined: 0 Program 1, 126 First, 127 Last']);
  });

  test('a list that two banks of one select use counts once, and its reason is the one that holds', () => {
    const shared = '<UsesPatchNameList Name="L"/>';
    const { remarks } = read(
      mode([1, 'A']),
      set(
        'A',
        bank('B', control(0, 1), list(patch(0, 'Other'))),
        bank('C', '', shared),
        bank('D', '', shared),
      ),
      `<PatchNameList Name="L">${patch(3, 'Twice')}</PatchNameList>`,
    );
    expect(remarks).toEqual([
      'not used: the patch Twice (line 4): nothing says how its bank is selected, and there are others',
    ]);
  });

  test('of two that cannot be told apart the first; how many more there are', () => {
    const { banks, remarks } = banksOf(
      bank('B', control(0, 1), list(patch(0, 'A'), patch(1, 'B'))),
      bank('C', control(0, 1) + control(32, 5), list(patch(0, 'C'), patch(1, 'D'), patch(2, 'E'))),
    );
    expect(banks).toEqual(['B 1/undefined: 0 A, 1 B', 'C 1/5: 2 E']);
    expect(remarks).toEqual([
      'not used: the patch C (line 3) and 1 more: the select of its bank may mean another bank, which has the same program',
    ]);
  });

  test('a bank without a list, and one whose own list is empty', () => {
    const { remarks } = banksOf(
      '<PatchBank Name="None"/>',
      '<PatchBank Name="Empty"><PatchNameList Name="Gone"/></PatchBank>',
    );
    expect(remarks.slice(0, 2)).toEqual([
      'the bank "None" (line 3) has no list of patches',
      'line 3 uses the list "Gone", which is not in the document',
    ]);
  });
});

describe('drums', () => {
  const kit = (...patches: string[]) => bank('Kits', '', list(...patches));

  test('names of keys make a set one of drums, unless every channel has them', () => {
    const drums = (...lines: string[]) => read(...lines).instrument.drums.channels;
    const beats = set('D', keys([36, 'Thud']), kit(patch(0, 'Kit')));
    expect(drums(mode([1, 'A'], [10, 'D']), tones('A'), beats)).toEqual([9]);
    expect(drums(mode([12, 'D'], [3, 'D'], [1, 'A']), tones('A'), beats)).toEqual([2, 11]);
    // The only channel there is may be one of drums; two that are alike are no drums.
    expect(drums(mode([4, 'D']), beats)).toEqual([3]);
    expect(drums(mode([4, 'D'], [5, 'D']), beats)).toEqual([]);
  });

  test('keys by number; the first name of each stays, and what else there was is told', () => {
    const beats = (...notes: Parameters<typeof keys>) => set('D', keys(...notes), kit(patch(0, 'Kit')));
    const { instrument, remarks } = read(
      mode([1, 'A'], [10, 'D']),
      tones('A'),
      beats([127, 'Last'], [0, 'First'], [0, 'Other'], [0, 'First'], [5, ''], [128, 'High'], ['x', 'Odd']),
    );
    expect([...instrument.drums.keys]).toEqual([
      [0, 'First'],
      [127, 'Last'],
    ]);
    expect(remarks).toEqual([
      '2 keys are not numbers from 0 to 127',
      '1 drum key has another name in another list',
    ]);
    const more = read(
      mode([1, 'A'], [10, 'D']),
      tones('A'),
      beats([1, 'A'], [1, 'B'], [1, 'C'], [200, 'X']),
    ).remarks;
    expect(more).toEqual([
      '1 key is not a number from 0 to 127',
      '2 drum keys have other names in another list',
    ]);
  });

  test('kits by program; without a name by number, and of one program the first', () => {
    const { instrument, remarks, patches } = read(
      mode([1, 'A'], [10, 'D']),
      tones('A'),
      set('D', keys([36, 'Thud']), kit(patch(8, ''), patch(0, 'Zero'), patch(0, 'Again'))),
    );
    expect([...instrument.drums.kits]).toEqual([
      [0, 'Zero'],
      [8, 'Kit 9'],
    ]);
    expect(remarks).toContain('not used: the patch Again (line 4): another kit has the same program');
    expect(patches).toEqual({ all: 4, used: 3, explained: 1 });
  });

  test('keys that patches name for themselves: those of the first, on channel 10; elsewhere they are left out', () => {
    const named = (name: string, key: string) => patch(name.length, name, keys([40, key]));
    const sets = [set('D', bank('B', '', list(named('One', 'Thud'), named('Three', 'Clap')))), tones('A')];
    const on10 = read(mode([10, 'D'], [1, 'A']), ...sets);
    expect([...on10.instrument.drums.keys]).toEqual([[40, 'Thud']]);
    expect(on10.remarks).toEqual(['2 patches name their keys; those of One (line 3) are taken for all kits']);
    const on3 = read(mode([3, 'D'], [10, 'D'], [1, 'A']), ...sets);
    expect(on3.instrument.drums.keys.size).toBe(47);
    expect(on3.remarks).toEqual([
      '2 patches name their keys (first: One, line 3); only drums are named by key here',
    ]);
    const alone = read(
      mode([10, 'D'], [1, 'A']),
      set('D', bank('B', '', list(named('One', 'Thud')))),
      tones('A'),
    );
    expect(alone.remarks).toEqual([]);
  });
});

describe('what else a document has', () => {
  test('is told, one or many', () => {
    const one = [
      '<ControlNameList Name="C"/>',
      '<ValueNameList Name="V"/>',
      '<SupportsStandardDeviceMode Name="GM"/>',
    ];
    const none = "it names no program that can be called: General MIDI's are taken";
    expect(read(...one).remarks).toEqual([
      'not used: a list of names of controllers',
      'not used: a list of names of values',
      'not used: a standard mode that it knows as well',
      none,
    ]);
    expect(read(...one, ...one).remarks).toEqual([
      'not used: 2 lists of names of controllers',
      'not used: 2 lists of names of values',
      'not used: 2 standard modes that it knows as well',
      none,
    ]);
  });

  test('patches without a name go by number', () => {
    const remarks = (...patches: string[]) =>
      read(mode([1, 'A']), set('A', bank('B', '', list(...patches)))).remarks;
    expect(remarks(patch(0, ''))).toEqual(['1 patch has no name and goes by number']);
    expect(remarks(patch(0, ''), patch(1, ' '))).toEqual(['2 patches have no name and go by number']);
  });

  test('of two modes the first; a mode that SysEx switches on is to be switched on by hand', () => {
    const enabled =
      '<CustomDeviceMode Name="Two"><DeviceModeEnable><SysEx>F0</SysEx></DeviceModeEnable></CustomDeviceMode>';
    expect(read(mode([1, 'A']), tones('A'), enabled).remarks).toEqual([
      'not used: the mode "Two" (line 4); "Main" is taken, as it comes first',
      'not used: a SysEx among its commands',
    ]);
    expect(read(enabled, tones('A')).remarks[0]).toBe(
      'its mode "Two" is switched on by a SysEx, which is not sent: switch it on at the instrument',
    );
  });

  test('of several descriptions the fullest, wherever it stands; the patches of the others are explained', () => {
    const text = `<MIDINameDocument>
<ExtendingDeviceNames><Manufacturer>Nobody</Manufacturer><Model>Card</Model>${tones('X')}</ExtendingDeviceNames>
<MasterDeviceNames><Manufacturer> Nobody </Manufacturer><Model>Box</Model>${mode([1, 'A'])}${tones('A')}</MasterDeviceNames>
</MIDINameDocument>`;
    const { instrument, remarks, said } = parseNameDocument(text, 'box.midnam');
    expect([instrument.name, instrument.channels, instrument.parts]).toEqual(['Nobody Box', [0], 1]);
    expect(remarks).toEqual([
      'not used: another description of the same document, "Nobody Card" (line 2)',
      'not used: the patch X 1 (line 2): it belongs to another description of the same document',
    ]);
    expect([...said].sort()).toEqual(['bank', 'channels', 'drums.channels', 'name']);
  });

  test('a document that describes nothing leaves everything to General MIDI', () => {
    const { instrument, remarks, said } = parseNameDocument('<MIDINameDocument/>', 'box.midnam');
    expect(instrument).toMatchObject({ name: 'an instrument without a name', parts: 16 });
    expect(instrument.drums.channels).toEqual([9]);
    expect(remarks[0]).toBe('the document describes no device');
    expect(said.size).toBe(0);
  });

  test('long names are cut: of a device, and of a patch', () => {
    const long = 'x'.repeat(100);
    const { instrument } = read(
      `<Model>${long}</Model>`,
      mode([1, 'A']),
      set('A', bank('B', '', list(patch(0, long)))),
    );
    expect([instrument.name.length, instrument.banks[0]!.programs[0]!.name.length]).toEqual([80, 80]);
  });
});
