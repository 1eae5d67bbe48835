#!/usr/bin/env node
// Of the older kind of module, which Node starts sooner.
const { readFileSync } = require('node:fs');
const { join } = require('node:path');

async function main() {
  // Answered before anything else is loaded, so that asking for the version costs no more than Node.
  if (process.argv.length === 3 && (process.argv[2] === '--version' || process.argv[2] === '-V')) {
    const { version } = JSON.parse(readFileSync(join(__dirname, '..', 'package.json'), 'utf8'));
    console.log(version);
    return;
  }
  const { load } = require('./load.js');
  const program = load('cli.js');
  if (program === null) {
    console.error('traybook: the program is not built: run  npm run build');
    process.exitCode = 3;
  } else await program.main(process.argv);
}

main();
