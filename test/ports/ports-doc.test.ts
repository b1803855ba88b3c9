import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { EVENT_LOG_HEAD, eventLogLine, eventLogRemark } from '../../src/core/capture/event-log.ts';
import { FAULT_NAMES } from '../../src/core/midi/stream-fault.ts';
import { PORT_KINDS } from '../../src/ports/port-kinds.ts';
import { bytesOf } from '../support/stream-log.ts';

const doc = (name: string) => readFileSync(new URL(`../../docs/${name}`, import.meta.url), 'utf8');

describe('the documents say what the tables say', () => {
  it.each(PORT_KINDS)('docs/ports.md names $usage', ({ usage }) => {
    expect(doc('ports.md')).toContain(`\`${usage}\``);
  });
  it.each(FAULT_NAMES)('docs/listen-json.md explains %s', (name) => {
    expect(doc('listen-json.md')).toContain(`| \`${name}\` |`);
  });
  it('the log in docs/capture.md is a log', () => {
    const port = 'serial:/dev/ttyS0';
    const log =
      EVENT_LOG_HEAD +
      eventLogLine(500_000, port, bytesOf('90 3C 40')) +
      eventLogLine(500_960.5, port, bytesOf('90 40 00')) +
      eventLogLine(600_000, 'mock', bytesOf('F0 7E 7F 09 01 F7')) +
      eventLogRemark(600_000, 'mock', 'byte 6: data byte with no status before it: 41');
    expect(doc('capture.md')).toContain(log);
  });
});
