import { existsSync } from 'node:fs';
import { type Browser, chromium } from 'playwright-core';

const places = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'];

/** Where a Chromium stands on this machine, or null. */
export const chromiumPath = places.find((place) => existsSync(place)) ?? null;

export function launch(): Promise<Browser> {
  if (chromiumPath === null) throw new Error('apt-get install chromium');
  return chromium.launch({
    executablePath: chromiumPath,
    args: [
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
    ],
  });
}
