import type { Profile } from '../core/instrument/profile.ts';
import { profileFromDocument } from '../core/instrument/profile-from-document.ts';
import { readToml } from '../files/toml/read-toml.ts';
import { PROFILE_SCHEMA } from './profile-schema.ts';

/**
 * Reads a profile in TOML.
 * @throws {Refusal} with file, line and path
 */
export function readProfile(file: string): Profile {
  const { value, refusal } = readToml(file, PROFILE_SCHEMA);
  const result = profileFromDocument(value);
  if ('instrument' in result) return result;
  const { path, what, nextStep } = result[0]!;
  throw refusal(path, what, nextStep);
}
