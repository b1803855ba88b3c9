import { spawn } from 'node:child_process';

/**
 * How many bytes a second the line to a terminal carries, as the system has it. Reckoned with twelve bits a byte: with
 * parity and two stop bits it is so, and with ten what is thought to be on its way never grows behind our back. A serial line has
 * what it was set to; a pseudo-terminal of SSH or Telnet has what the far terminal's line was set to (RFC 4254, section 8; RFC
 * 1079), any other 38,400 baud, which is as good as nothing. Undefined where `stty` does not say.
 */
export async function lineBytesPerSecond(descriptor: number): Promise<number | undefined> {
  return new Promise((resolve) => {
    // It asks the terminal that is its standard input (POSIX, stty, "speed").
    const stty = spawn('stty', ['speed'], { stdio: [descriptor, 'pipe', 'ignore'] });
    let said = '';
    stty.stdout?.on('data', (text) => {
      said += text;
    });
    stty.once('error', () => resolve(undefined));
    stty.once('close', () => {
      const baud = Number.parseInt(said, 10);
      resolve(baud > 0 ? baud / BITS_A_BYTE : undefined);
    });
  });
}

const BITS_A_BYTE = 12;
