import { chmodSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { accessOf, accessTold, groupAdvice, groupOf } from '../../src/ports/device-access.ts';
import { choiceRefusal } from '../../src/ports/hardware/choice-refusal.ts';
import { usableDevices } from '../../src/ports/usable-devices.ts';
import { tempFolder } from '../support/temp-folder.ts';

/** A "device" with such a mode, and a group file in which its group is called so. */
function device(mode: number, group: string) {
  const folder = tempFolder('access');
  const path = join(folder, 'ttyS9');
  writeFileSync(path, '');
  chmodSync(path, mode);
  const groups = join(folder, 'group');
  // group(5): name, password, number, members.
  const { gid } = statSync(path);
  writeFileSync(groups, `other:x:${gid + 1}:\n${group}:x:${gid}:somebody\nlate:x:${gid}:\n`);
  return { path, groups };
}

describe('who grants a device', () => {
  test('the group that may write it, by its number', () => {
    const { path, groups } = device(0o660, 'dialout');
    expect(groupOf(path, groups)).toBe('dialout');
    expect(groupAdvice(path, groups)).toBe(
      'group dialout grants it: sudo usermod -aG dialout "$USER", then log in again',
    );
  });

  test.each([
    ['a group that may only read', 0o640, 'dialout'],
    ['the group of root', 0o660, 'root'],
  ])('%s helps nobody', (_, mode, group) => {
    const { path, groups } = device(mode, group);
    expect(groupAdvice(path, groups)).toMatch(/^no group grants it/);
  });

  test('no such device, or no group file: nobody is named', () => {
    const { path, groups } = device(0o660, 'dialout');
    expect(groupOf(`${path}0`, groups)).toBeUndefined();
    expect(groupOf(path, `${groups}s`)).toBeUndefined();
  });
});

test('what may be used is listed, what is not there is not, and neither is a trouble', () => {
  const { path } = device(0o660, 'dialout');
  const port = (name: string) => ({ name, direction: 'both', note: '' }) as const;
  expect(accessOf(path)).toBe('ok');
  expect(accessOf(`${path}0`)).toBe('absent');
  const devices = [path, `${path}0`].map((one) => ({ path: one, port: port(one) }));
  expect(usableDevices(devices)).toEqual({ ports: [port(path)], troubles: [] });
});

test.each([
  ['EACCES', 'no-permission'],
  ['EPERM', 'no-permission'],
  ['ENOENT', 'absent'],
  ['ENXIO', 'absent'],
])('%s: %s', (code, access) => expect(accessTold(code)).toBe(access));

test('a name that means no port, or several: what there is stands in the refusal', () => {
  expect(choiceRefusal('interface:x', 'none', []).message).toBe(
    'interface:x: no device is connected; `wirepit ports` lists what is here',
  );
  expect(choiceRefusal('interface:x', 'none', ['A', 'B']).message).toMatch(/there are 'A', 'B'/);
  expect(choiceRefusal('interface:x', 'several', ['A', 'B']).message).toMatch(
    /several ports .*'A', 'B'; write more/,
  );
});
