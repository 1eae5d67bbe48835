#!/usr/bin/env node
import { readFileSync } from 'node:fs';
import * as nodeModule from 'node:module';

// Answered before any import, so that asking for the version costs no more than Node itself.
if (process.argv.length === 3 && (process.argv[2] === '--version' || process.argv[2] === '-V')) {
  const { version } = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8'));
  console.log(version);
} else {
  nodeModule.enableCompileCache?.();
  try {
    const { main } = await import('../dist/cli.js');
    await main(process.argv);
  } catch (error) {
    if (error?.code !== 'ERR_MODULE_NOT_FOUND' || !String(error.message).includes('dist'))
      throw error;
    console.error('traybook: the program is not built: run  npm run build');
    process.exitCode = 3;
  }
}
