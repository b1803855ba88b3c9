import { GENERAL_MIDI } from '../general-midi-instrument.ts';
import type { Profile } from '../profile.ts';
import { BankDrafts, type BankSelect, patchName } from './bank-drafts.ts';
import { channelSetsOf } from './channel-sets.ts';
import { DrumDrafts } from './drum-drafts.ts';
import { type DeviceNames, wholeDocument } from './extended-document.ts';
import { nameOf } from './name-of.ts';
import { PatchLedger } from './patch-ledger.ts';
import { bankSelectIn, programOf } from './patch-select.ts';
import { unusedElements } from './unused-elements.ts';
import {
  childrenNamed,
  descendantsByName,
  descendantsNamed,
  lineOf,
  type XmlElement,
} from './xml-element.ts';

/** A profile from a name document, and what became of its patches: each is a program or kit, or explained. */
export interface NameDocumentReading extends Profile {
  readonly patches: { readonly all: number; readonly used: number; readonly explained: number };
}

/**
 * Reads a MIDI Name Document (DTD 1.0, MMA 2003: element names from a restatement of it, attributes of Patch and
 * ControlChange from memory). It names channels, banks, programs and keys; what else an instrument is, it has no
 * words for, so that stays General MIDI's.
 * @param root the element MIDINameDocument
 * @param besides finds the document that another one extends, by the names of the device
 */
export function profileFromNameDocument(
  root: XmlElement,
  besides: (names: DeviceNames) => XmlElement | undefined = () => undefined,
): NameDocumentReading {
  const whole = wholeDocument(root, besides);
  return new Reading(whole.root, whole.remarks).result();
}

const NO_SELECT: BankSelect = { msb: undefined, lsb: undefined };

class Reading {
  readonly #remarks: string[];
  readonly #ledger: PatchLedger;
  readonly #banks: BankDrafts;
  readonly #drums: DrumDrafts;
  readonly #patchLists: ReadonlyMap<string | undefined, XmlElement>;
  readonly #noteLists: ReadonlyMap<string | undefined, XmlElement>;
  readonly #device: XmlElement | undefined;
  readonly #all: ReadonlyMap<string, readonly XmlElement[]>;
  readonly #root: XmlElement;

  constructor(root: XmlElement, remarks: readonly string[]) {
    this.#root = root;
    this.#remarks = [...remarks];
    this.#all = descendantsByName(root);
    this.#ledger = new PatchLedger(this.#all.get('Patch') ?? []);
    this.#banks = new BankDrafts(this.#ledger);
    this.#drums = new DrumDrafts(this.#ledger);
    this.#device = this.#chooseDevice();
    const inDevice = this.#device === undefined ? undefined : this.#elementsOf(this.#device);
    const lists = (name: string) =>
      new Map(
        (inDevice?.get(name) ?? [])
          .filter((list) => list.children.length > 0)
          .map((list) => [list.attributes.Name, list]),
      );
    this.#patchLists = lists('PatchNameList');
    this.#noteLists = lists('NoteNameList');
  }

  result(): NameDocumentReading {
    const channels = this.#readDevice();
    this.#remarks.push(...unusedElements(this.#all));
    const banks = this.#banks.banks();
    const said = new Set<string>();
    if (this.#device !== undefined) said.add('name');
    if (channels.length > 0) said.add('channels').add('drums.channels');
    if (banks.length > 0) said.add('bank');
    if (banks.length === 0)
      this.#remarks.push("it names no program that can be called: General MIDI's are taken");
    const drums = this.#drums.isEmpty
      ? { ...GENERAL_MIDI.drums, channels: channels.length > 0 ? [] : GENERAL_MIDI.drums.channels }
      : this.#drums.drums();
    if (!this.#drums.isEmpty) said.add('drums.keys').add('drums.kits');
    const heard = channels.length > 0 ? channels : GENERAL_MIDI.channels;
    return {
      instrument: {
        ...GENERAL_MIDI,
        name: this.#name(),
        channels: heard,
        parts: Math.min(GENERAL_MIDI.parts, heard.length),
        banks: banks.length > 0 ? banks : GENERAL_MIDI.banks,
        drums,
      },
      said,
      remarks: [...this.#remarks, ...this.#drums.remarks, ...this.#ledger.remarks()],
      patches: {
        all: this.#ledger.patchCount,
        used: this.#ledger.usedCount,
        explained: this.#ledger.explainedCount,
      },
    };
  }

  #elementsOf(device: XmlElement): ReadonlyMap<string, readonly XmlElement[]> {
    const isAlone = this.#root.children.filter(({ name }) => DEVICES.includes(name)).length === 1;
    return isAlone ? this.#all : descendantsByName(device);
  }

  #chooseDevice(): XmlElement | undefined {
    const devices = this.#root.children.filter(({ name }) => DEVICES.includes(name));
    const [first] = [...devices].sort((a, b) => DEVICES.indexOf(a.name) - DEVICES.indexOf(b.name));
    for (const other of devices) {
      if (other === first) continue;
      this.#remarks.push(
        `not used: another description of the same document, "${nameOf(other)}" (${lineOf(other)})`,
      );
      for (const patch of descendantsNamed(other, 'Patch')) {
        this.#ledger.explain(patch, 'it belongs to another description of the same document');
      }
    }
    if (first === undefined) this.#remarks.push('the document describes no device');
    return first;
  }

  #name(): string {
    return (this.#device && nameOf(this.#device)) || 'an instrument without a name';
  }

  /** Returns the channels that are heard, 0–15, ascending; none where the document does not say. */
  #readDevice(): number[] {
    const device = this.#device;
    if (device === undefined) return [];
    const [mode = device, ...others] = childrenNamed(device, 'CustomDeviceMode');
    for (const other of others) {
      this.#remarks.push(
        `not used: the mode "${nameOf(other)}" (${lineOf(other)}); "${nameOf(mode)}" is taken, as it comes first`,
      );
    }
    if (descendantsNamed(mode, 'DeviceModeEnable').some((on) => descendantsNamed(on, 'SysEx').length > 0)) {
      this.#remarks.push(
        `its mode "${nameOf(mode)}" is switched on by a SysEx, which is not sent: switch it on at the instrument`,
      );
    }
    const { sets, remarks } = channelSetsOf(device, mode);
    this.#remarks.push(...remarks);
    const heard = [...sets.values()].flat().sort((a, b) => a - b);
    for (const [set, channels] of sets) this.#readSet(set, channels, heard.length);
    return heard;
  }

  /**
   * Names of keys make a set one of drums, where it is not for every channel: names of keys that every channel has
   * are names of pitches.
   */
  #readSet(set: XmlElement, channels: readonly number[], heard: number): void {
    const banks = childrenNamed(set, 'PatchBank');
    const keys = this.#noteListIn(set) ?? this.#noteListOfPatches(banks, channels);
    const isDrums = keys !== undefined && (channels.length < heard || heard === 1);
    if (isDrums) this.#drums.addKeys(channels, keys);
    for (const bank of banks) this.#readBank(bank, isDrums);
  }

  #readBank(bank: XmlElement, isDrums: boolean): void {
    const list = this.#patchListIn(bank);
    if (list === undefined) return;
    const select = bankSelectIn(childrenNamed(bank, 'MIDICommands')[0], NO_SELECT);
    for (const patch of descendantsNamed(list, 'Patch')) {
      const commands = childrenNamed(patch, 'PatchMIDICommands')[0];
      const program = programOf(patch, commands);
      if (typeof program === 'string') this.#ledger.explain(patch, program);
      else if (isDrums) this.#drums.addKit(program, patch);
      else this.#banks.add(nameOf(bank), bankSelectIn(commands, select), program, patch);
    }
  }

  #patchListIn(bank: XmlElement): XmlElement | undefined {
    const [own] = childrenNamed(bank, 'PatchNameList');
    if (own !== undefined && own.children.length > 0) return own;
    const uses = childrenNamed(bank, 'UsesPatchNameList')[0] ?? own;
    if (uses === undefined) {
      this.#remarks.push(`the bank "${nameOf(bank)}" (${lineOf(bank)}) has no list of patches`);
      return undefined;
    }
    return this.#lookUp(this.#patchLists, uses);
  }

  #noteListIn(element: XmlElement): XmlElement | undefined {
    const [own] = childrenNamed(element, 'NoteNameList');
    if (own !== undefined && own.children.length > 0) return own;
    const uses = childrenNamed(element, 'UsesNoteNameList')[0] ?? own;
    return uses === undefined ? undefined : this.#lookUp(this.#noteLists, uses);
  }

  /** Where each patch has its own list of keys, those of channel 10 are drums; one list is all there is room for. */
  #noteListOfPatches(banks: readonly XmlElement[], channels: readonly number[]): XmlElement | undefined {
    const patches = banks.flatMap((bank) => {
      const list = childrenNamed(bank, 'PatchNameList')[0];
      return list === undefined ? [] : descendantsNamed(list, 'Patch');
    });
    const withKeys = patches.filter(({ children }) =>
      children.some(({ name }) => name === 'NoteNameList' || name === 'UsesNoteNameList'),
    );
    if (withKeys.length === 0) return undefined;
    const isDrumChannel = channels.every((channel) => GENERAL_MIDI.drums.channels.includes(channel));
    const [first] = withKeys;
    const count =
      withKeys.length === 1 ? '1 patch names its keys' : `${withKeys.length} patches name their keys`;
    if (!isDrumChannel) {
      this.#remarks.push(
        `${count} (first: ${patchName(first!)}, ${lineOf(first!)}); only drums are named by key here`,
      );
      return undefined;
    }
    if (withKeys.length > 1) {
      this.#remarks.push(
        `${count}; those of ${patchName(first!)} (${lineOf(first!)}) are taken for all kits`,
      );
    }
    return this.#noteListIn(first!);
  }

  #lookUp(lists: ReadonlyMap<string | undefined, XmlElement>, uses: XmlElement): XmlElement | undefined {
    const list = lists.get(uses.attributes.Name);
    if (list === undefined) {
      const name = uses.attributes.Name ?? '';
      this.#remarks.push(`${lineOf(uses)} uses the list "${name}", which is not in the document`);
    }
    return list;
  }
}

/** What may stand at the top, the fullest first. */
const DEVICES = ['MasterDeviceNames', 'ExtendingDeviceNames', 'StandardDeviceMode'];
