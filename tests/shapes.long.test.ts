// Every command that prints JSON, on both example seasons, against the schemas the package ships.
import { expect, test } from 'vitest';
import { Barn, exampleNow } from './harness/console.ts';
import { shapeFaults, shapeNames } from './harness/shapes.ts';

const commands = [
  'today',
  'today --days 30',
  'check',
  'occupancy',
  'calendar',
  'flock',
  'brooders',
  'costs',
  'breeders',
  'breeders --rotate 6 --line dorking',
  'summary',
  'review',
  'diagnose',
  'diagnose --replay',
  'diagnose --worth',
  'forecast --draws 500',
  'plan --draws 500',
  'rates',
  'list set',
  'list reading',
  'history D1',
  'eggs-for 40 --want pullets --of dorking',
  'plan --trial trays',
  'export away',
  'new ../next --from . --no-plan',
  'add eggs north --laid 9 --kept 8',
];

test.each(Object.keys(exampleNow))(
  '%s: the JSON of every command has its shape',
  { timeout: 240_000 },
  async (season) => {
    const barn = new Barn();
    try {
      barn.enter(season, undefined);
      const told = new Set<string>();
      for (const command of commands) {
        // The goals of a finished season are past: there is nothing to plan.
        if (season === 'finished' && command.startsWith('plan --draws')) continue;
        const { stdout, stderr } = await barn.run(`traybook ${command} --json`);
        expect(stdout, `${command}: ${stderr}`).toMatch(/^\{/);
        expect(shapeFaults(stdout), command).toEqual([]);
        told.add(/traybook\.([^/]*)\/1/.exec(stdout)![1]!);
      }
      const entry = JSON.parse((await barn.run('traybook list eggs --json')).stdout).rows.at(
        -1,
      ).entry;
      for (const command of [`amend ${entry} kept=7`, `void ${entry}`]) {
        const { stdout, stderr } = await barn.run(`traybook ${command} --json`);
        expect(stdout, `${command}: ${stderr}`).toMatch(/^\{/);
        told.add(/traybook\.([^/]*)\/1/.exec(stdout)![1]!);
      }
      const rest = shapeNames.filter((name) => !told.has(name));
      // Imports have tests of their own, which run through the same check.
      expect(rest).toEqual(season === 'finished' ? ['import', 'plan'] : ['import']);
    } finally {
      barn.close();
    }
  },
);
