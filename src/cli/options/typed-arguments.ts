import { readFileSync } from 'node:fs';
import { pathText } from '../../files/path-text.ts';

/**
 * What was typed behind the program's name. Node reads it as UTF-8 and puts U+FFFD for what is none; then the bytes are
 * read again where the system keeps them (proc(5), cmdline), or a file of such a name could not be named.
 */
export function typedArguments(
  given: readonly string[] = process.argv.slice(2),
  commandLine: () => Uint8Array = () => readFileSync('/proc/self/cmdline'),
): string[] {
  if (!given.some((argument) => argument.includes('\ufffd'))) return [...given];
  try {
    const typed = partsOf(commandLine());
    // Before ours stand Node, its own options and the program.
    return typed.slice(typed.length - given.length).map(pathText);
  } catch {
    return [...given];
  }
}

/** Each ends with a zero byte. */
function partsOf(bytes: Uint8Array): Uint8Array[] {
  const parts: Uint8Array[] = [];
  for (let from = 0; from < bytes.length; ) {
    const end = bytes.indexOf(0, from);
    parts.push(bytes.subarray(from, end < 0 ? bytes.length : end));
    from = end < 0 ? bytes.length : end + 1;
  }
  return parts;
}
