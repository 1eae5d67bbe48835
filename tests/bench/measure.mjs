// Wall time of whole processes, as ratios to a yardstick run in turn with them.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const here = dirname(fileURLToPath(import.meta.url));
export const root = join(here, '..', '..');
export const traybook = join(root, 'bin', 'traybook.js');
export const empty = [process.execPath, join(here, 'empty.mjs')];
export const emptyOlder = [process.execPath, join(here, 'empty.cjs')];

/** The aim of a figure and whether it is met, for the end of a line; nothing if there is none. */
export const met = (figure, aim, unit) =>
  aim === undefined ? '' : `  at most ${aim} ${unit}: ${figure <= aim ? 'met' : 'NOT MET'}`;

const median = (values) => {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
};

function time([program, ...words], { accept = [0, 1], env = {} } = {}) {
  const began = process.hrtime.bigint();
  const child = spawnSync(program, words, {
    stdio: ['ignore', 'ignore', 'pipe'],
    maxBuffer: 1e8,
    env: { PATH: process.env.PATH, HOME: process.env.HOME, TZ: 'UTC', ...env },
  });
  const seconds = Number(process.hrtime.bigint() - began) / 1e9;
  if (child.error) throw child.error;
  if (!accept.includes(child.status))
    throw new Error(`${[program, ...words].join(' ')} ended with ${child.status}: ${child.stderr}`);
  return seconds;
}

/**
 * Runs `subject` and `yardstick` alternately, `rounds` times after one warm-up of each.
 * Returns seconds (medians) and the median of the pairwise ratios.
 */
export function against(subject, yardstick, rounds, options = {}) {
  time(yardstick, options);
  time(subject, options);
  const pairs = [];
  for (let round = 0; round < rounds; round++) {
    // The order turns each round, so that neither always runs in the other's wake.
    if (round % 2) {
      const b = time(subject, options);
      pairs.push([time(yardstick, options), b]);
    } else {
      const a = time(yardstick, options);
      pairs.push([a, time(subject, options)]);
    }
  }
  return {
    yardstick: median(pairs.map(([a]) => a)),
    seconds: median(pairs.map(([, b]) => b)),
    ratio: median(pairs.map(([a, b]) => b / a)),
    rounds,
  };
}

/** Peak resident memory of one run of a Node command, in MiB. */
export function peak([, ...words], options = {}) {
  const folder = mkdtempSync(join(tmpdir(), 'traybook-bench-'));
  try {
    const file = join(folder, 'rss');
    time([process.execPath, '--require', join(here, 'rss.cjs'), ...words], {
      ...options,
      env: { ...options.env, BENCH_RSS: file },
    });
    return Number(readFileSync(file, 'utf8')) / 1024;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
