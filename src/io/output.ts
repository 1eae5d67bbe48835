import { fstatSync, statSync, writeSync } from 'node:fs';
import { codeOf } from './refusal.ts';

const STDOUT = 1;

/**
 * True if standard output surely is no terminal: a file, a pipe, the null device. Whoever asks
 * `process.stdout` has Node load its streams first, which costs as much as reading a season file.
 */
export function isSurelyNoTerminal(): boolean {
  try {
    const out = fstatSync(STDOUT);
    if (!out.isCharacterDevice()) return true;
    return out.rdev === statSync('/dev/null', { throwIfNoEntry: false })?.rdev;
  } catch {
    return false;
  }
}

/**
 * Writes to standard output, which is no terminal, without Node's streams.
 *
 * @returns what could not be written at once, for the stream to write; null if the reader is gone
 */
export function writtenAtOnce(text: string): Uint8Array | null {
  let rest: Uint8Array = Buffer.from(text, 'utf8');
  while (rest.length > 0) {
    try {
      rest = rest.subarray(writeSync(STDOUT, rest));
    } catch (error) {
      const code = codeOf(error);
      if (code === 'EPIPE') return null;
      // A pipe that somebody made non-blocking, and that is full.
      if (code === 'EAGAIN') return rest;
      throw error;
    }
  }
  return rest;
}
