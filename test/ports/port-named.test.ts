import { describe, expect, test } from 'vitest';
import { PORT_KINDS } from '../../src/ports/port-kinds.ts';
import { portNamed } from '../../src/ports/port-named.ts';

describe.each(PORT_KINDS.map((kind) => [kind.name, kind] as const))('a port named %s', (name, kind) => {
  const isBare = kind.bare ?? false;

  test(isBare ? 'stands alone' : 'has a colon, and all behind the first one is its own', () => {
    expect(portNamed(name)).toEqual(isBare ? { kind, rest: '' } : undefined);
    for (const rest of ['', 'x', ':a:b', '/dev/x@31250']) {
      expect(portNamed(`${name}:${rest}`)).toEqual(isBare ? undefined : { kind, rest });
    }
  });

  test('is written in full', () => {
    for (const spec of [name.slice(1), name.slice(0, -1), `${name}s`, ` ${name}`, name.toUpperCase()]) {
      expect(portNamed(`${spec}:x`)).toBeUndefined();
      expect(portNamed(spec)).toBeUndefined();
    }
  });
});

test.each(['', ':', ':serial'])('%j names none', (spec) => expect(portNamed(spec)).toBeUndefined());
