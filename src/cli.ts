/** Runs one command line. `argv` is Node's own: program, script, words. */
export async function main(argv: readonly string[]): Promise<void> {
  process.stdout.write(`${argv.slice(2).join(' ')}\n`);
}
