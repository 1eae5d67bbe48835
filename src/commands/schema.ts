import { didYouMean } from '../text/nearest.ts';
import { type CommandModule, unexpected } from './command.ts';
import { schemaText } from './season-schema.ts';

const files = ['season'];

export const command: CommandModule = {
  withoutJson: 'what it prints is JSON already',
  words: async () => ({ file: files }),

  define(command) {
    command.argument('<file>', 'what to describe: season, for the file season.yaml');
  },

  async run(_context, [file = '']) {
    if (!files.includes(file))
      throw unexpected(
        'schema',
        files.join(', '),
        file,
        didYouMean(file, files) ?? 'traybook schema season',
      );
    return { stdout: await schemaText() };
  },

  examples: ['schema season > season.schema.json'],
};
