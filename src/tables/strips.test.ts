import { describe, expect, test } from 'vitest';
import { barStrip, shareStrip } from './strips.ts';
import { widthOf } from './wrap.ts';

const way = [
  { label: 'set', count: 804, note: '' },
  { label: 'hatched', count: 560, note: '70 % of set' },
  { label: 'weak', count: 1, note: '' },
];

describe('bars', () => {
  test('are as long as their counts, in ASCII', () => {
    expect(barStrip(way, { width: 50, ascii: true })).toBe(
      'set      #######################  804\n' +
        'hatched  ################         560  70 % of set\n' +
        'weak     #                          1\n',
    );
  });

  test('zero draws nothing and no bar outgrows the terminal', () => {
    const none = [{ label: 'set', count: 0, note: '' }];
    expect(barStrip(none, { width: 80, ascii: false })).not.toContain('█');
    for (const line of barStrip(way, { width: 80, ascii: false }).split('\n'))
      expect(widthOf(line)).toBeLessThanOrEqual(80);
  });
});

describe('shares', () => {
  const rows = [
    { label: 'D1', value: 0.5, low: 0.25, high: 0.75, note: '20 of 40' },
    { label: 'D2', value: 1, low: 0.9, high: 1, note: '40 of 40', marked: true },
    { label: 'D3', value: null, low: null, high: null, note: 'not hatched yet' },
  ];

  test('stand on their interval, the marked one with a sign', () => {
    expect(shareStrip(rows, 0.75, { width: 66, ascii: true })).toBe(
      '      0        25        50        75     100 %\n' +
        'D1              |---------o---------|            20 of 40\n' +
        'D2   !                              :     |---o  40 of 40\n' +
        'D3                                  :            not hatched yet\n',
    );
  });

  test('show the reference where it crosses an interval', () => {
    const one = (reference: number) =>
      shareStrip(rows.slice(0, 1), reference, { width: 66, ascii: true });
    expect(one(0.5)).toContain('|-----------o----------|');
    expect(one(0.6)).toContain('|-----------o---+------|');
  });

  test('in blocks the picture is the same but for its letters', () => {
    const plain = shareStrip(rows, 0.75, { width: 80, ascii: true });
    const blocks = shareStrip(rows, 0.75, { width: 80, ascii: false });
    expect(
      blocks
        .replace(/[├┤]/g, '|')
        .replaceAll('─', '-')
        .replaceAll('■', 'o')
        .replaceAll('│', ':')
        .replaceAll('┼', '+'),
    ).toBe(plain);
  });
});
