// The example seasons as they are handed out: whoever tried a command in one has its last forecast
// kept there, which the morning would tell.
import { rmSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import moments from '../examples/now.json' with { type: 'json' };

export default function setup(): void {
  for (const name of Object.keys(moments))
    rmSync(fileURLToPath(new URL(`../examples/${name}/.traybook`, import.meta.url)), {
      recursive: true,
      force: true,
    });
}
