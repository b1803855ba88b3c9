import { expect, test } from 'vitest';
import { keepHardware } from '../../../src/ports/hardware/hardware-keeper.ts';
import { FakeBinding } from '../fake-binding.ts';

test('each coming and going of the device is an opening of its own; one that stays is no news', async () => {
  const binding = new FakeBinding(['Fake Keys 24:0']);
  const keeper = keepHardware(binding, 'Fake Keys');
  const { link } = keeper;
  expect([link.present, link.generation]).toEqual([true, 1]);
  keeper.look();
  expect([link.present, link.generation]).toEqual([true, 1]);
  binding.names = [];
  keeper.look();
  keeper.look();
  expect([link.present, link.generation]).toEqual([false, 1]);
  binding.names = ['Fake Keys 32:0'];
  keeper.look();
  expect([link.present, link.generation]).toEqual([true, 2]);
  // Somebody saw a write fail: the list may still have the name, and the next look opens it anew.
  link.reportGone();
  keeper.look();
  expect(link.present).toBe(false);
  keeper.look();
  expect([link.present, link.generation]).toEqual([true, 3]);
  await keeper.close();
  await keeper.close();
  expect(binding.open).toBe(0);
});
