import { neededText } from './column.ts';
import { record } from './record.ts';

export const tick = record({
  name: 'tick',
  file: 'ticks.csv',
  summary: 'a task done that leaves no other record, or dismissed',
  naming: 'task',
  columns: {
    task: neededText('task id, as `today` shows it'),
  },
  timed: true,
  example: 'tick D4/damp-up',
});
