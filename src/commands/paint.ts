import { Chalk } from 'chalk';
import type { Paint } from '../tables/paint.ts';

const { bold, dim, magenta, yellow, cyan } = new Chalk({ level: 1 });

/**
 * The colours of a terminal. Magenta, yellow and cyan differ in lightness and stay apart for eyes
 * that mix red with green or blue with yellow; a sign and a word stand beside each.
 */
export const paint: Paint = {
  act: (text) => bold(magenta(text)),
  watch: (text) => yellow(text),
  settled: (text) => cyan(text),
  bold: (text) => bold(text),
  dim: (text) => dim(text),
};
