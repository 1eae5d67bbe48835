import { didYouMean } from '../text/nearest.ts';
import { type CommandModule, wrongWords } from './command.ts';

const files = ['season'];

export const command: CommandModule = {
  withoutJson: 'what it prints is JSON already',
  words: async () => ({ file: files }),

  define(command) {
    command.argument('<file>', 'season: the file season.yaml');
  },

  async run(_context, [file = '']) {
    if (!files.includes(file))
      throw wrongWords(
        `schema: expected ${files.join(', ')}, found ${JSON.stringify(file)}`,
        didYouMean(file, files) ?? 'traybook schema season',
      );
    const { seasonJsonSchema } = await import('../tables/season-keys.ts');
    return { stdout: `${JSON.stringify(seasonJsonSchema(), null, 2)}\n` };
  },

  examples: ['schema season > season.schema.json'],
};
