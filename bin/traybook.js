#!/usr/bin/env node
import { readFileSync } from 'node:fs';

// Answered before any other import, so that asking for the version costs no more than Node itself.
if (process.argv.length === 3 && (process.argv[2] === '--version' || process.argv[2] === '-V')) {
  const { version } = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8'));
  console.log(version);
} else {
  const { load } = await import('./load.js');
  const program = load('cli.js');
  if (program === null) {
    console.error('traybook: the program is not built: run  npm run build');
    process.exitCode = 3;
  } else await program.main(process.argv);
}
