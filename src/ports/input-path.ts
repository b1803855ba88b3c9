import { portNamed } from './port-named.ts';

/** Whether an input is standard input, which then cannot be the keyboard. */
export function isStandardInput(spec: string | undefined): boolean {
  return spec === 'stdin' || spec === '-';
}

/** The path that is read where an input is named: standard input may be a file as well. */
export function inputPath(spec: string): string {
  return isStandardInput(spec) ? '/dev/stdin' : (portNamed(spec)?.rest ?? '');
}
