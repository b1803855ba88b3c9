import { readFileSync, statSync } from 'node:fs';
import { parse, TomlError } from 'smol-toml';
import type { ZodType } from 'zod';
import { Refusal } from '../../trouble/refusal.ts';
import { pathError } from '../path-error.ts';
import { lineOfPath, type TomlPath } from './line-of-path.ts';

/** A larger one was not written by a person. */
const LARGEST_TOML_BYTES = 4 * 1024 * 1024;

/** A settings file as it was read, and a way to complain about a place in it. */
export interface TomlFile<Value> {
  readonly value: Value;
  /** The line at which a path stands, from 1. */
  lineOf(path: TomlPath): number;
  /** A refusal that names file, line and path. */
  refusal(path: TomlPath, what: string, nextStep: string): Refusal;
}

/**
 * Reads a TOML file (TOML 1.0) into what a schema says it is.
 * @throws {Refusal} with file and line: not there, not TOML, or not as the schema wants it
 */
export function readToml<Value>(file: string, schema: ZodType<Value>): TomlFile<Value> {
  return parseToml(readText(file), file, schema);
}

/** As `readToml`, for a text that is at hand. @param file how it is called in a complaint */
export function parseToml<Value>(text: string, file: string, schema: ZodType<Value>): TomlFile<Value> {
  const lineOf = (path: TomlPath) => lineOfPath(text, path);
  const refusal = (path: TomlPath, what: string, nextStep: string) =>
    new Refusal(what, `${file}:${lineOf(path)}${path.length > 0 ? `, ${pathText(path)}` : ''}`, nextStep);
  let document: unknown;
  try {
    document = parse(text);
  } catch (error) {
    if (!(error instanceof TomlError)) throw error;
    const [first] = error.message.split('\n');
    const what = first!.replace(/^Invalid TOML document: /, 'this is not TOML: ');
    throw new Refusal(what, `${file}:${error.line}:${error.column}`, 'mend this line');
  }
  const read = schema.safeParse(document);
  if (read.success) return { value: read.data, lineOf, refusal };
  const issue = read.error.issues[0]!;
  const path = issue.path.map((part) => (typeof part === 'number' ? part : String(part)));
  if (issue.code === 'unrecognized_keys') {
    const [key] = issue.keys;
    throw refusal([...path, key!], 'there is no such field', 'check its spelling, or leave it out');
  }
  throw refusal(path, sentence(issue.message), 'mend this value');
}

/** `bank[2].program`, counted from 1 as a person counts the tables of a list. */
function pathText(path: TomlPath): string {
  return path
    .map((part, at) => (typeof part === 'number' ? `[${part + 1}]` : at === 0 ? part : `.${part}`))
    .join('');
}

/** A schema's own words ("Invalid input: expected string …") as the house writes them: small, and without the preamble. */
function sentence(message: string): string {
  const plain = message.replace(/^Invalid input: /, '');
  return plain.charAt(0).toLowerCase() + plain.slice(1);
}

function readText(file: string): string {
  try {
    const stats = statSync(file);
    if (stats.isDirectory()) throw new Refusal('this is a folder', file, 'name a TOML file');
    if (!stats.isFile()) throw new Refusal('this is not a regular file', file, 'name a TOML file');
    if (stats.size > LARGEST_TOML_BYTES) throw new Refusal('the file is too large', file, 'name a TOML file');
    return new TextDecoder('utf-8', { fatal: true }).decode(readFileSync(file));
  } catch (error) {
    if (error instanceof Refusal) throw error;
    if (error instanceof TypeError) throw new Refusal('the text is not UTF-8', file, 'save it as UTF-8');
    const { code } = error as NodeJS.ErrnoException;
    if (code === undefined) throw error;
    const [what, nextStep] = pathError(code);
    throw new Refusal(what, file, nextStep);
  }
}
