import { writeExamples } from './make.ts';

/** `npm run examples`: writes the example seasons anew. */
export function main(_words: readonly string[], folder: string): void {
  writeExamples(folder);
}
