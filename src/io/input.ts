import { resolve } from 'node:path';
import { readBytes } from './season-folder.ts';

/** The path that stands for standard input. */
export const STDIN = '-';

/**
 * The bytes of a file from outside the season folder, or of standard input for `-`; what stands in
 * the way, in words.
 *
 * @param most bytes read at most
 */
export async function readInput(
  cwd: string,
  path: string,
  most: number,
): Promise<Uint8Array | string> {
  if (path !== STDIN) return readBytes(resolve(cwd, path), most);
  const parts: Buffer[] = [];
  let size = 0;
  for await (const part of process.stdin) {
    parts.push(part as Buffer);
    size += (part as Buffer).length;
    if (size > most) return `expected at most ${most} bytes, found more`;
  }
  return Buffer.concat(parts);
}
