import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { answerOf } from '../../support/command-line.ts';
import { type DeltaEvent, songBytes } from '../../support/song-bytes.ts';
import { tempFolder } from '../../support/temp-folder.ts';

/** Ten seconds: twenty quarters at 120 (SMF 1.1, 2.2). */
function tenSeconds(): Uint8Array {
  const events: DeltaEvent[] = [];
  for (let beat = 0; beat < 20; beat += 1) events.push([0, [0x90, 60, 80]], [96, [0x80, 60, 64]]);
  return songBytes([events], { division: 96 });
}

function setFile(text: string): string {
  const folder = tempFolder('check-set');
  mkdirSync(join(folder, 'songs'));
  writeFileSync(join(folder, 'songs', 'ten.mid'), tenSeconds());
  writeFileSync(join(folder, 'songs', 'torn.mid'), 'MThd');
  const path = join(folder, 'fair.toml');
  writeFileSync(path, text);
  return path;
}

const TEN = '[[song]]\nfile = "songs/ten.mid"\n';

describe('wirepit check of a set', () => {
  test('a round is as long as its songs, with tempo, ends, repeats and rests', async () => {
    const path = setFile(
      `[set]\nname = "Fair"\ngap-seconds = 3\n${TEN}repeat = 2\n${TEN}tempo = 50\nfrom = "2"\n`,
    );
    const { code, stdout } = await answerOf(['check', path, '--json']);
    const objects = stdout
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line));
    expect(objects.map(({ schema }) => schema)).toEqual(['wirepit-check/1', 'wirepit-check-set/1']);
    // Twice (10 + 3), then bars 2 to 5 at half the speed: (10 - 2) · 2 + 3.
    expect(objects[1]).toMatchObject({ name: 'Fair', turns: 2, seconds: 45, passedOver: [], loops: false });
    expect(code).toBe(0);
  });

  test('what would be passed over is told with why; a song that cannot be read is exit 2', async () => {
    const path = setFile(`${TEN}${TEN}from = "no such marker"\n[[song]]\nfile = "songs/torn.mid"\n`);
    const { code, stdout } = await answerOf(['check', path]);
    expect(stdout).toMatch(/passed over, turn 2: .*no such marker/);
    expect(stdout).toMatch(/passed over, turn 3: .*torn\.mid/);
    expect(stdout).toMatch(/fair: 3 turns, 2 passed over; a round takes 0:12 with its rests\n$/);
    expect(code).toBe(2);
  });

  test('each song is held against its own instrument', async () => {
    const path = setFile(`${TEN}instrument = "parlour-piano"\n${TEN}`);
    const { stdout } = await answerOf(['check', path, '--json']);
    const instruments = stdout
      .trim()
      .split('\n')
      .map((line) => JSON.parse(line))
      .filter(({ schema }) => schema === 'wirepit-check/1')
      .map(({ instrument }) => instrument?.name);
    expect(instruments).toHaveLength(2);
    expect(new Set(instruments).size).toBe(2);
  });

  test('with the map of the set each song is held against the instruments of its ports', async () => {
    const map = '1-8=left@parlour-piano,9-16=right@tin-beat-box';
    const ports = 'ports = ["right=mock", "left=mock"]';
    const path = setFile(`[set]\n${ports}\nmap = "${map}"\n${TEN}`);
    const seatsOf = async (...flags: string[]) => {
      const { stdout } = await answerOf(['check', path, '--json', ...flags]);
      const { instruments, command } = JSON.parse(stdout.split('\n')[0]!);
      const seats = instruments.map(({ port, name }: { port: string; name: string }) => `${port}: ${name}`);
      return { seats, map: command[command.indexOf('--map') + 1] };
    };
    expect(await seatsOf()).toEqual({ seats: ['right: Tin Beat Box', 'left: Parlour Piano'], map });
    const own = '1-16=right@lindwurm-eight';
    expect(await seatsOf('--map', own)).toEqual({
      seats: ['right: Lindwurm Eight', 'left: General MIDI'],
      map: own,
    });
  });

  test('a map that names none of the ports of the set is refused in one line', async () => {
    const path = setFile(`[set]\nports = ["x=mock"]\nmap = "1-16=y"\n${TEN}`);
    const { code, stderr } = await answerOf(['check', path]);
    expect(code).toBe(2);
    expect(stderr).toBe("wirepit: --map: no port is called 'y'; use one of: x\n");
  });

  test('a set that cannot be read: one line, exit 2', async () => {
    const { code, stderr } = await answerOf(['check', setFile('[[song]]\nfile = 7\n')]);
    expect(code).toBe(2);
    expect(stderr.trim().split('\n')).toHaveLength(1);
  });
});
