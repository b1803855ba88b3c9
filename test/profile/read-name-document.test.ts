import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { parseNameDocument, readNameDocument } from '../../src/profile/read-name-document.ts';
import { Refusal } from '../../src/trouble/refusal.ts';
import { madeDocument } from '../support/name-documents.ts';
import { tempFolder } from '../support/temp-folder.ts';

const wrap = (body: string) =>
  `<MIDINameDocument><Author>A</Author><MasterDeviceNames><Manufacturer>Nobody</Manufacturer><Model>Box 1</Model>${body}</MasterDeviceNames></MIDINameDocument>`;
const assigned = (sets: Readonly<Record<number, string>>, more = '') =>
  `<CustomDeviceMode Name="Main">${more}<ChannelNameSetAssignments>${Object.entries(sets)
    .map(([channel, set]) => `<ChannelNameSetAssign Channel="${channel}" NameSet="${set}"/>`)
    .join('')}</ChannelNameSetAssignments></CustomDeviceMode>`;
const control = (number: number, value: number) => `<ControlChange Control="${number}" Value="${value}"/>`;
const bank = (name: string, commands: string, patches: string) =>
  `<PatchBank Name="${name}">${commands === '' ? '' : `<MIDICommands>${commands}</MIDICommands>`}<PatchNameList>${patches}</PatchNameList></PatchBank>`;
const patch = (program: number | string, name: string) =>
  `<Patch Number="X${program}" Name="${name}" ProgramChange="${program}"/>`;
const read = (body: string) => parseNameDocument(wrap(body), 'box.midnam');

/** The structure is that of MIDINameDocument DTD 1.0 (MMA, 2003), as restated in public; the content is invented. */
describe('a name document', () => {
  test('becomes name, channels, banks with their selects, programs and drum keys', () => {
    const { instrument, remarks, patches } = read(`
      ${assigned({ 1: 'Set', 2: 'Set', 10: 'Beats' })}
      <ChannelNameSet Name="Set">
        ${bank('Bank A', control(0, 1) + control(32, 0), patch(0, 'Soft Bell') + patch(5, 'Trumpet'))}
        ${bank('Bank B', control(0, 1) + control(32, 1), patch(0, 'Hard Bell'))}
      </ChannelNameSet>
      <ChannelNameSet Name="Beats"><UsesNoteNameList Name="Drums"/>${bank('Kits', '', patch(0, 'Tin Kit'))}</ChannelNameSet>
      <NoteNameList Name="Drums"><Note Number="36" Name="Low Thud"/></NoteNameList>`);
    expect(instrument.name).toBe('Nobody Box 1');
    expect(instrument.channels).toEqual([0, 1, 9]);
    expect(instrument.banks.map(({ name, msb, lsb }) => ({ name, msb, lsb }))).toEqual([
      { name: 'Bank A', msb: 1, lsb: 0 },
      { name: 'Bank B', msb: 1, lsb: 1 },
    ]);
    expect(instrument.banks[0]!.programs).toMatchObject([
      { number: 0, name: 'Soft Bell', like: undefined },
      { number: 5, name: 'Trumpet', like: 56 },
    ]);
    expect(instrument.drums).toEqual({
      channels: [9],
      keys: new Map([[36, 'Low Thud']]),
      kits: new Map([[0, 'Tin Kit']]),
    });
    expect(patches).toEqual({ all: 4, used: 4, explained: 0 });
    expect(remarks).toEqual([]);
  });

  const CASES: readonly (readonly [name: string, body: string, remark: RegExp])[] = [
    [
      'a program out of range',
      set(patch(128, 'Too High') + patch(1, 'Fine')),
      /Too High \(line 1\): its Program Change/,
    ],
    ['no program at all', set('<Patch Number="1" Name="Mute"/>'), /Mute .*no Program Change calls it/],
    [
      'one program twice',
      set(patch(1, 'First') + patch(1, 'Second')),
      /Second .*same program, which comes first/,
    ],
    [
      'a bank that nothing selects beside others',
      `${assigned({ 1: 'S' })}<ChannelNameSet Name="S">${bank('A', control(0, 1), patch(0, 'In A'))}${bank('B', '', patch(0, 'In B'))}</ChannelNameSet>`,
      /In B .*nothing says how its bank is selected/,
    ],
    [
      'a select that may mean two banks',
      `${assigned({ 1: 'S' })}<ChannelNameSet Name="S">${bank('A', control(0, 1), patch(0, 'In A'))}${bank('B', control(0, 1) + control(32, 4), patch(0, 'In B'))}</ChannelNameSet>`,
      /In B .*may mean another bank/,
    ],
    [
      'a list nobody uses',
      `<PatchNameList Name="L">${patch(0, 'Alone')}</PatchNameList>`,
      /Alone .*no channel that is heard/,
    ],
    ['a channel whose names are nowhere', assigned({ 3: 'Gone' }), /channel 3 has the names "Gone"/],
    [
      'a bank whose list is nowhere',
      `${assigned({ 1: 'S' })}<ChannelNameSet Name="S"><PatchBank Name="A"><UsesPatchNameList Name="Gone"/></PatchBank></ChannelNameSet>`,
      /uses the list "Gone"/,
    ],
    [
      'a channel that is not available',
      `${assigned({ 1: 'S', 2: 'S' })}<ChannelNameSet Name="S"><AvailableForChannels><AvailableChannel Channel="2" Available="false"/></AvailableForChannels>${bank('A', '', patch(0, 'A'))}</ChannelNameSet>`,
      /channel 2 is marked as not available/,
    ],
    [
      'a mode switched on by SysEx',
      assigned(
        {},
        '<DeviceModeEnable><MIDICommands><SysEx>F0 7D F7</SysEx></MIDICommands></DeviceModeEnable>',
      ),
      /switched on by a SysEx, which is not sent/,
    ],
    ['names of controllers', '<ControlNameList Name="C"/>', /a list of names of controllers/],
    ['a patch without a name', set(patch(4, '')), /1 patch has no name/],
  ];
  function set(patches: string): string {
    return `${assigned({ 1: 'S' })}<ChannelNameSet Name="S">${bank('A', '', patches)}</ChannelNameSet>`;
  }
  test.each(CASES)('tells of %s', (_name, body, remark) => {
    const { remarks, patches } = read(body);
    expect(remarks.join('\n')).toMatch(remark);
    expect(patches.used + patches.explained).toBe(patches.all);
  });

  test('takes the program and the bank from a patch’s own commands', () => {
    const own = `<Patch Number="P-001" Name="Own"><PatchMIDICommands>${control(0, 7)}${control(32, 3)}<ProgramChange Channel="1" Number="42"/></PatchMIDICommands></Patch>`;
    const { instrument } = read(set(own));
    expect(instrument.banks).toMatchObject([{ msb: 7, lsb: 3, programs: [{ number: 42, name: 'Own' }] }]);
  });

  test('that extends another which is nowhere beside it says so, and what it has is read', () => {
    const text = wrap(set(patch(0, 'More'))).replaceAll('MasterDeviceNames', 'ExtendingDeviceNames');
    const { remarks, instrument } = parseNameDocument(text, 'box.midnam');
    expect(remarks.join()).toContain('extends another one, of "Nobody Box 1", which is not beside it');
    expect(instrument.banks[0]!.programs[0]!.name).toBe('More');
  });

  test('that extends another is read with the one in its folder: the same maker, a model that both name', () => {
    const folder = tempFolder('names');
    const put = (name: string, text: string) => writeFileSync(join(folder, name), text);
    const uses = (list: string) =>
      `<PatchBank Name="${list}"><UsesPatchNameList Name="${list}"/></PatchBank>`;
    const master = wrap(
      `${assigned({ 1: 'S', 2: 'S' })}<ChannelNameSet Name="S">${uses('Card').replace('<Uses', `<MIDICommands>${control(0, 9)}</MIDICommands><Uses`)}${bank('A', control(0, 1), patch(0, 'Base'))}</ChannelNameSet><PatchNameList Name="Card">${patch(0, 'No card')}</PatchNameList>`,
    ).replace('Box 1</Model>', 'Box 0</Model><Model> box  1</Model>');
    put('another.midnam', master.replaceAll(/Box 0|box {2}1/g, 'Box 7'));
    put('not-xml.midnam', '<MasterDeviceNames><Manufacturer>Nobody</Manufacturer>');
    put('whole.midnam', master);
    const lists = `<PatchNameList Name="Card">${patch(0, 'Card Bell')}${patch(300, 'Odd')}</PatchNameList>`;
    put('card.midnam', wrap(lists).replaceAll('MasterDeviceNames', 'ExtendingDeviceNames'));
    const { instrument, remarks, patches } = readNameDocument(join(folder, 'card.midnam'));
    expect(instrument).toMatchObject({ name: 'Nobody Box 1', channels: [0, 1] });
    expect(instrument.banks.map(({ msb, programs }) => [msb, programs.map(({ name }) => name)])).toEqual([
      [9, ['Card Bell']],
      [1, ['Base']],
    ]);
    expect(remarks[0]).toBe('it extends the document whole.midnam, which was read as well');
    expect(patches).toEqual({ all: 3, used: 2, explained: 1 });
    expect(readNameDocument(join(folder, 'whole.midnam')).instrument.banks[0]!.programs[0]!.name).toBe(
      'No card',
    );
  });

  test('whose extended document is damaged is refused with that file’s name and line', () => {
    const folder = tempFolder('names');
    writeFileSync(join(folder, 'whole.midnam'), wrap('').replace('</MIDINameDocument>', '\n<b></c>'));
    writeFileSync(
      join(folder, 'card.midnam'),
      wrap('').replaceAll('MasterDeviceNames', 'ExtendingDeviceNames'),
    );
    expect(() => readNameDocument(join(folder, 'card.midnam'))).toThrow(
      /whole\.midnam:2:\d+: this is not XML/,
    );
  });

  test('without a program leaves General MIDI’s, and says so', () => {
    const { instrument, said, remarks } = read('');
    expect(instrument.banks[0]!.programs).toHaveLength(128);
    expect(said.has('bank')).toBe(false);
    expect(remarks.join()).toContain("General MIDI's are taken");
  });

  test('every patch of a well-formed document becomes a program or an explanation', () => {
    fc.assert(
      fc.property(fc.nat(1_000_000), (seed) => {
        const made = madeDocument(seed, 12);
        const { instrument, patches, remarks } = parseNameDocument(made.text, 'made.midnam');
        // Counted three ways: what was made, the tags in the text, and what the reader says became of them.
        expect(made.text.match(/<Patch /g)).toHaveLength(made.patches);
        expect(patches.all).toBe(made.patches);
        expect(patches.used + patches.explained).toBe(made.patches);
        for (const { msb, lsb, program, name } of made.programs) {
          const found = instrument.banks
            .find((one) => one.msb === msb && one.lsb === lsb)
            ?.programs.find(({ number }) => number === program);
          expect(found?.name).toBe(name === '' ? `Program ${program + 1}` : name);
        }
        expect([...instrument.drums.kits]).toEqual(made.kits.map(({ program, name }) => [program, name]));
        expect(patches.used).toBe(made.programs.length + made.kits.length);
        if (patches.explained > 0)
          expect(remarks.some((one) => one.startsWith('not used: the patch'))).toBe(true);
      }),
      { numRuns: 60 },
    );
  });
});

describe('what is no name document is refused in one line, with file, line, column and what to do', () => {
  const WRONG: readonly (readonly [name: string, text: string, complaint: RegExp])[] = [
    [
      'broken off',
      '<MIDINameDocument>\n<Author>',
      /^box\.midnam:2:\d+: this is not XML: unclosed tag: Author; mend/,
    ],
    ['tags crossed', '<MIDINameDocument>\n<a><b></a>', /^box\.midnam:2:\d+: this is not XML/],
    ['an attribute twice', '<MIDINameDocument a="1" a="2"/>', /this is not XML: duplicate attribute/],
    [
      'an entity of its own',
      '<!DOCTYPE x [<!ENTITY a "b">]><MIDINameDocument>&a;</MIDINameDocument>',
      /undefined entity/,
    ],
    [
      'a bomb of entities',
      `<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "${'&a;'.repeat(1000)}">]><MIDINameDocument>&b;</MIDINameDocument>`,
      /undefined entity/,
    ],
    ['20,000 levels', '<a>'.repeat(20_000), /elements lie more than 64 deep/],
    [
      'a million programs',
      `<MIDINameDocument>${'<Patch/>'.repeat(1_000_000)}</MIDINameDocument>`,
      /more than 200000 elements/,
    ],
    ['another document', '\n<html/>', /^box\.midnam:2: this is no MIDI name document but a html/],
    ['nothing', '', /^box\.midnam:1:0: /],
  ];
  test.each(WRONG)('%s', (_name, text, complaint) => {
    let message = 'taken';
    try {
      parseNameDocument(text, 'box.midnam');
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      message = error.message;
    }
    expect(message).toMatch(complaint);
    expect(message).not.toContain('\n');
  });
});
