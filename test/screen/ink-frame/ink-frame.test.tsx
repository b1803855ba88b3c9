import { Box, Text } from 'ink';
import { useState } from 'react';
import { afterEach, describe, expect, it } from 'vitest';
import type { Area } from '../../../src/screen/cells/area.ts';
import { BOLD, background, type CellGrid, foreground, PLAIN } from '../../../src/screen/cells/cell-grid.ts';
import { drawText } from '../../../src/screen/cells/draw-text.ts';
import { CoverBox } from '../../../src/screen/ink-frame/cover-box.tsx';
import { Label } from '../../../src/screen/ink-frame/label.tsx';
import { LiveBox } from '../../../src/screen/ink-frame/live-box.tsx';
import { openTestScreen, type TestScreen } from '../../../src/screen/ink-frame/open-test-screen.ts';
import { useKeys, useScreenSize } from '../../../src/screen/ink-frame/screen-context.ts';
import { fillArea } from '../../support/fill-area.ts';

const opened: TestScreen[] = [];
function screenOf(columns: number, rows: number): TestScreen {
  const screen = openTestScreen(columns, rows);
  opened.push(screen);
  return screen;
}
afterEach(() => {
  for (const screen of opened.splice(0)) screen.close();
});

function dots(grid: CellGrid, area: Area): void {
  fillArea(grid, area, PLAIN, '.'.charCodeAt(0));
}

function Wide() {
  const { columns } = useScreenSize();
  const [isOn, setOn] = useState(true);
  useKeys((key) => key.name === 'x' && setOn(false));
  return isOn ? <LiveBox width={columns - 1} height={1} paint={dots} /> : <Text>off</Text>;
}

function Log() {
  const [log, setLog] = useState('');
  useKeys(
    (key) => setLog((before) => `${before}${key.name} `),
    (text) => setLog((before) => `${before}[${text}]`),
  );
  return <Text>{log}</Text>;
}

function Broken(): never {
  throw new Error('broken on purpose');
}

describe('labels', () => {
  it('come out where Ink lays them, in the colours of the cell grid', () => {
    const screen = screenOf(12, 3);
    screen.render(
      <Box flexDirection="column">
        <Text color="red">ab</Text>
        <Label style={foreground(123) | background(4) | BOLD}>cd</Label>
      </Box>,
    );
    const grid = screen.grid();
    expect(screen.text()).toBe('ab\ncd\n');
    expect(grid.style[0]).toBe(foreground(1));
    expect(grid.style[12]).toBe(foreground(123) | background(4) | BOLD);
    expect(grid.style[14]).toBe(PLAIN);
  });

  it('are cut at the edges of the screen', () => {
    const screen = screenOf(4, 2);
    screen.render(
      <Box flexDirection="column">
        <Box flexShrink={0} flexDirection="column">
          <Text wrap="truncate-end">abcdefgh</Text>
          <Text>two</Text>
          <Text>three</Text>
        </Box>
      </Box>,
    );
    expect(screen.text()).toBe('abc…\ntwo');
  });
});

describe('live boxes', () => {
  it('are painted in the room that the layout gives them, and nowhere else', () => {
    const screen = screenOf(10, 3);
    screen.render(
      <Box>
        <Text>ab</Text>
        <LiveBox
          width={5}
          height={2}
          paint={(grid) => fillArea(grid, { x: 0, y: 0, width: 99, height: 99 }, PLAIN, 0x23)}
        />
        <Text>c</Text>
      </Box>,
    );
    expect(screen.text()).toBe('ab#####c\n  #####\n');
  });

  it('show the newest state at each look, without a new Ink frame', () => {
    const screen = screenOf(10, 1);
    let count = 0;
    screen.render(
      <LiveBox
        width={5}
        height={1}
        paint={(grid, area) => drawText(grid, area.x, area.y, `n${count}`, PLAIN)}
      />,
    );
    count = 7;
    expect(screen.text()).toBe('n7');
    count = 8;
    expect(screen.text()).toBe('n8');
  });

  it('go when their component goes, and follow a resize', async () => {
    const screen = screenOf(6, 1);
    screen.render(<Wide />);
    expect(screen.text()).toBe('.....');
    screen.resize(9, 2);
    expect(screen.text()).toBe('........\n');
    screen.resize(3, 1);
    expect(screen.text()).toBe('..');
    await screen.press('x');
    expect(screen.text()).toBe('off');
  });
});

describe('cover boxes', () => {
  it('hide labels and live boxes below, also where they are blank', () => {
    const screen = screenOf(10, 4);
    screen.render(
      <Box width={10} height={4}>
        <LiveBox width={10} height={4} paint={dots} />
        <CoverBox left={2} top={1} width={6} height={2}>
          <Text>hi</Text>
        </CoverBox>
      </Box>,
    );
    expect(screen.text()).toBe('..........\n..hi    ..\n..      ..\n..........');
  });

  it('may hold live boxes themselves, and a later cover hides those too', () => {
    const screen = screenOf(10, 3);
    screen.render(
      <Box width={10} height={3}>
        <LiveBox width={10} height={3} paint={dots} />
        <CoverBox left={0} top={0} width={6} height={2}>
          <LiveBox width={3} height={2} paint={(grid, area) => fillArea(grid, area, PLAIN, 0x2b)} />
        </CoverBox>
        <CoverBox left={2} top={1} width={6} height={1}>
          <Text>top</Text>
        </CoverBox>
      </Box>,
    );
    expect(screen.text()).toBe('+++   ....\n++top   ..\n..........');
  });

  it('cover labels in the plain background', () => {
    const screen = screenOf(10, 2);
    screen.render(
      <Box width={10} height={2}>
        <Text>abcdefghij</Text>
        <CoverBox left={3} top={0} width={4} height={2}>
          <Text>X</Text>
        </CoverBox>
      </Box>,
    );
    expect(screen.text()).toBe('abcX   hij\n');
  });
});

describe('keys', () => {
  it('reach every listener in order, one at a time', async () => {
    const screen = screenOf(40, 1);
    screen.render(<Log />);
    await screen.press('a', 'ctrl-c', 'shift-up');
    await screen.paste('xyz');
    expect(screen.text()).toBe('a ctrl-c shift-up [xyz]');
  });
});

describe('the process', () => {
  it('is left alone: no listener, no patched function, the keyboard untouched', () => {
    const before = process.eventNames().map((name) => `${String(name)} ${process.listenerCount(name)}`);
    const functions = [process.emit, (process as unknown as Record<string, unknown>).reallyExit, console.log];
    const screen = screenOf(10, 1);
    screen.render(<Text>a</Text>);
    const during = process.eventNames().map((name) => `${String(name)} ${process.listenerCount(name)}`);
    expect(during).toEqual(before);
    expect([process.emit, (process as unknown as Record<string, unknown>).reallyExit, console.log]).toEqual(
      functions,
    );
    screen.close();
    expect(process.eventNames().map((name) => `${String(name)} ${process.listenerCount(name)}`)).toEqual(
      before,
    );
  });

  it('hears of an error in a component as a bug, and nothing else is drawn', () => {
    const screen = screenOf(10, 1);
    screen.render(<Broken />);
    expect(() => screen.text()).toThrow('broken on purpose');
  });
});
