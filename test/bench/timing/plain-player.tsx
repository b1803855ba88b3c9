/**
 * What one would write first, to compare with: everything in the main thread, `setTimeout` for each event,
 * state in React, Ink drawing sixteen lanes at fifteen frames a second; `midi-file` reads the song.
 *
 *   plain-player <song> <histogram file> <milliseconds not to count>
 */
import { readFileSync, writeFileSync } from 'node:fs';
import { Box, render, Text } from 'ink';
import { parseMidi } from 'midi-file';
import { useEffect, useState } from 'react';
import { LatenessLog } from '../../../src/engine/watch/lateness-log.ts';
import { MockPort } from '../../../src/ports/mock/mock-port.ts';

const [song, histogram, skip] = process.argv.slice(2) as [string, string, string];
const parsed = parseMidi(readFileSync(song));
const events: { micros: number; bytes: number[] }[] = [];
let micros = 0;
let perTick = 500;
for (const event of parsed.tracks[0]!) {
  micros += event.deltaTime * perTick;
  if (event.type === 'setTempo') perTick = event.microsecondsPerBeat / parsed.header.ticksPerBeat!;
  else if (event.type === 'noteOn')
    events.push({ micros, bytes: [0x90 | event.channel, event.noteNumber, event.velocity] });
  else if (event.type === 'noteOff')
    events.push({ micros, bytes: [0x90 | event.channel, event.noteNumber, 0] });
  else if (event.type === 'controller')
    events.push({ micros, bytes: [0xb0 | event.channel, event.controllerType, event.value] });
}

const port = new MockPort();
const log = new LatenessLog();
const late = new Float64Array(1);
const lanes = Array.from({ length: 16 }, () => ({ keys: new Set<number>(), count: 0 }));
let next = 0;
let origin = 0;

function play(): void {
  const now = (performance.now() - origin) * 1000;
  while (next < events.length && events[next]!.micros <= now) {
    const { micros: due, bytes } = events[next]!;
    port.write(Uint8Array.from(bytes), 0, bytes.length, Float64Array.of(due));
    late[0] = (performance.now() - origin) * 1000 - due;
    if (due >= Number(skip) * 1000) log.add(late);
    const lane = lanes[bytes[0]! & 15]!;
    if ((bytes[0]! & 0xf0) === 0x90 && bytes[2]! > 0) lane.keys.add(bytes[1]!);
    else lane.keys.delete(bytes[1]!);
    lane.count += 1;
    next += 1;
  }
  if (next < events.length) setTimeout(play, events[next]!.micros / 1000 - (performance.now() - origin));
  else {
    writeFileSync(histogram, JSON.stringify({ counts: [...log.counts()], worstMicros: log.worstMicros() }));
    process.exit(0);
  }
}

function Screen() {
  const [, frame] = useState(0);
  useEffect(() => {
    const timer = setInterval(() => frame((count) => count + 1), 1000 / 15);
    return () => clearInterval(timer);
  }, []);
  const seconds = ((performance.now() - origin) / 1000).toFixed(1);
  return (
    <Box flexDirection="column">
      <Text>{`playing ${seconds} s   ${port.bytesTaken} bytes`}</Text>
      {lanes.map((lane, channel) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: a lane is its number
        <Text key={channel}>
          {`${channel + 1}`.padStart(2) + ` ${lane.count} `.padEnd(8) + strip(lane.keys)}
        </Text>
      ))}
    </Box>
  );
}

function strip(keys: Set<number>): string {
  return Array.from({ length: 60 }, (_, cell) =>
    keys.has(cell * 2) || keys.has(cell * 2 + 1) ? '#' : '.',
  ).join('');
}

origin = performance.now();
render(<Screen />);
setTimeout(play, 0);
