import type { Command } from 'commander';

/** `--name`, or `--name <value>`. */
const PLAIN_FLAG = /^--([a-z]+)( <[a-z-]+>)?$/;

/** Ends the reading: what the command takes is not plain. */
class NotPlain extends Error {}

/** Takes note of the options that a command adds, as commander would. */
class Noted {
  /** By `--name`: the name under which an option is told, and whether a value belongs to it. */
  readonly flags = new Map<string, { readonly name: string; readonly hasValue: boolean }>();
  readonly usual: Record<string, unknown> = {};

  option(flags: string, _about: string, usual?: unknown): this {
    const [, name, value] = PLAIN_FLAG.exec(flags) ?? [];
    if (name !== undefined) this.flags.set(`--${name}`, { name, hasValue: value !== undefined });
    if (usual === undefined && !flags.includes('--no-')) return this;
    if (name === undefined || typeof usual !== 'string') throw new NotPlain();
    this.usual[name] = usual;
    return this;
  }

  // A command that takes words, or asks commander for anything else, is not plain.
  argument(): never {
    throw new NotPlain();
  }
  readonly addOption = this.argument;
  readonly requiredOption = this.argument;
  readonly allowUnknownOption = this.argument;
}

/**
 * The options of a command line as nearly all of every morning are: long ones of lower case, their
 * values behind a space, and no words. Null for any other, which is commander's. A property test
 * holds the two together; commander to be loaded, and told all it may have to say in a help, takes
 * some hundredths of a short run.
 *
 * @param define adds the options of the command
 * @param words those behind its name
 */
export function plainOptions(
  define: (command: Command) => void,
  words: readonly string[],
): Readonly<Record<string, unknown>> | null {
  const noted = new Noted();
  try {
    define(noted as unknown as Command);
  } catch (error) {
    if (error instanceof NotPlain) return null;
    throw error;
  }
  const options = { ...noted.usual };
  for (let index = 0; index < words.length; index += 1) {
    const flag = noted.flags.get(words[index]!);
    if (flag === undefined) return null;
    if (!flag.hasValue) {
      options[flag.name] = true;
      continue;
    }
    index += 1;
    const value = words[index];
    if (value === undefined || value.startsWith('-')) return null;
    options[flag.name] = value;
  }
  return options;
}
