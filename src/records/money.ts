import { decimal, decimalOrUnknown, neededText, text } from './column.ts';
import { record } from './record.ts';

export const money = record({
  name: 'money',
  file: 'money.csv',
  summary: 'something bought (a positive amount) or sold (a negative one)',
  naming: null,
  columns: {
    category: neededText('what for: feed, litter, power, birds …'),
    amount: decimal('amount in the currency of season.yaml', {
      least: -10_000_000,
      most: 10_000_000,
    }),
    quantity: decimalOrUnknown('how much was bought', { least: 0, most: 10_000_000 }),
    unit: text('unit of the quantity: kg, bag, kWh …'),
  },
  example: 'money --category feed --amount 14.50 --quantity 20 --unit kg',
});
