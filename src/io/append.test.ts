import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { failing, fullAfter, Killed, killedAfter } from '../../tests/support/faulty-disk.ts';
import { appendLine, appendLines } from './append.ts';
import { realDisk } from './disk.ts';
import { WriteRefused } from './refusal.ts';
import { tornFiles } from './torn.ts';

const HEADER = 'entry,recorded,on,pen,kept,by,note,amends,state';
const ROW = '0123456789,2027-03-06T18:30:00Z,2027-03-06,north,11,Ane,"très, bien",,';
const NEXT = 'abcdefghjk,2027-03-07T18:30:00Z,2027-03-07,north,12,Ane,,,';
const AT = new Date('2027-03-07T18:31:02.345Z');

let folder: string;
let log: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'traybook-'));
  log = join(folder, 'eggs.csv');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const content = () => readFileSync(log, 'utf8');
const refusal = (work: () => unknown): WriteRefused => {
  try {
    work();
  } catch (error) {
    if (error instanceof WriteRefused) return error;
    throw error;
  }
  throw new Error('was not refused');
};

test('begins a log with its header and adds to it after', () => {
  expect(appendLine(realDisk, log, HEADER, ROW, AT)).toEqual({
    created: true,
    torn: null,
    before: 0,
  });
  expect(appendLine(realDisk, log, HEADER, NEXT, AT)).toMatchObject({ created: false, torn: null });
  expect(content()).toBe(`${HEADER}\n${ROW}\n${NEXT}\n`);
});

test('gives an empty file its header', () => {
  writeFileSync(log, '');
  expect(appendLine(realDisk, log, HEADER, ROW, AT).created).toBe(true);
  expect(content()).toBe(`${HEADER}\n${ROW}\n`);
});

test('takes a row as one line only', () => {
  expect(() => appendLine(realDisk, log, HEADER, 'a\nb', AT)).toThrow(RangeError);
  expect(readdirSync(folder)).toEqual([]);
});

test('adds several rows in one write, or none', () => {
  appendLines(realDisk, log, HEADER, [ROW, NEXT], AT);
  expect(content()).toBe(`${HEADER}\n${ROW}\n${NEXT}\n`);
  refusal(() => appendLines(fullAfter(100), log, HEADER, [ROW, NEXT], AT));
  expect(content()).toBe(`${HEADER}\n${ROW}\n${NEXT}\n`);
});

test('a process killed at any byte leaves whole rows or a torn line that the next append sets aside', () => {
  const written = Buffer.from(`${HEADER}\n${ROW}\n`);
  for (let bytes = 0; bytes < written.length; bytes += 1) {
    rmSync(folder, { recursive: true });
    realDisk.makeFolder(folder);
    expect(() => appendLine(killedAfter({ bytes }), log, HEADER, ROW, AT)).toThrow(Killed);
    expect(readFileSync(log)).toEqual(written.subarray(0, bytes));
    const { torn } = appendLine(realDisk, log, HEADER, NEXT, AT);
    const headerIsWhole = bytes > HEADER.length;
    const tornBytes = headerIsWhole
      ? written.subarray(HEADER.length + 1, bytes)
      : written.subarray(0, bytes);
    expect(content()).toBe(`${HEADER}\n${NEXT}\n`);
    if (tornBytes.length === 0) expect(torn).toBeNull();
    else {
      expect(torn).toBe(`${log}.torn-20270307T183102Z`);
      expect(readFileSync(torn!)).toEqual(tornBytes);
    }
  }
});

test('a process killed between any two calls, while setting a torn line aside too, loses no byte', () => {
  const before = `${HEADER}\n${ROW}\n`;
  const torn = 'abcdefghjk,2027-03-07T18:3';
  let calls = 0;
  for (let finished = false; !finished; calls += 1) {
    rmSync(folder, { recursive: true });
    realDisk.makeFolder(folder);
    writeFileSync(log, before + torn);
    try {
      appendLine(killedAfter({ calls }), log, HEADER, NEXT, AT);
      finished = true;
    } catch (error) {
      expect(error).toBeInstanceOf(Killed);
    }
    expect(content().startsWith(before)).toBe(true);
    const kept = readdirSync(folder).filter((name) => name.includes('.torn-'));
    const everything = [content(), ...kept.map((name) => readFileSync(join(folder, name), 'utf8'))];
    expect(everything.some((text) => text.endsWith(torn))).toBe(true);
    appendLine(realDisk, log, HEADER, NEXT, AT);
    const rows = content().slice(before.length).split('\n');
    expect(rows.pop()).toBe('');
    expect(new Set(rows)).toEqual(new Set([NEXT]));
  }
  expect(calls).toBeGreaterThan(8);
});

test('two torn lines in one second lie in two files, and the same bytes in one', () => {
  writeFileSync(log, `${HEADER}\none`);
  expect(appendLine(realDisk, log, HEADER, ROW, AT).torn).toBe(`${log}.torn-20270307T183102Z`);
  writeFileSync(log, `${HEADER}\none`);
  expect(appendLine(realDisk, log, HEADER, ROW, AT).torn).toBe(`${log}.torn-20270307T183102Z`);
  writeFileSync(log, `${HEADER}\ntwo`);
  expect(appendLine(realDisk, log, HEADER, ROW, AT).torn).toBe(`${log}.torn-20270307T183102Z-2`);
});

test('bytes that are no UTF-8 are set aside as they are', () => {
  const broken = Buffer.from([0x61, 0xc3]);
  writeFileSync(log, Buffer.concat([Buffer.from(`${HEADER}\n`), broken]));
  const { torn } = appendLine(realDisk, log, HEADER, ROW, AT);
  expect(readFileSync(torn!)).toEqual(broken);
});

test('a line cut off inside a quoted cell of several lines is left to the keeper', () => {
  const text = `${HEADER}\n${ROW}\nabc,"first\nsecond`;
  writeFileSync(log, text);
  expect(refusal(() => appendLine(realDisk, log, HEADER, NEXT, AT)).message).toMatch(/quoted cell/);
  expect(content()).toBe(text);
});

test('a disk that fills at any byte refuses, and the log stays as it was', () => {
  const before = `${HEADER}\n${ROW}\n`;
  for (let bytes = 0; bytes <= NEXT.length; bytes += 1) {
    writeFileSync(log, before);
    const refused = refusal(() => appendLine(fullAfter(bytes), log, HEADER, NEXT, AT));
    expect(refused.message).toMatch(/full/);
    expect(content()).toBe(before);
    rmSync(log);
    refusal(() => appendLine(fullAfter(bytes), log, HEADER, NEXT, AT));
    expect(readdirSync(folder)).toEqual([]);
  }
});

test('a disk that fills while a torn line is set aside leaves everything in place', () => {
  for (let bytes = 0; bytes < 6; bytes += 1) {
    writeFileSync(log, `${HEADER}\ntorn 6`);
    refusal(() => appendLine(fullAfter(bytes), log, HEADER, NEXT, AT));
    expect(content()).toBe(`${HEADER}\ntorn 6`);
    expect(readdirSync(folder)).toEqual(['eggs.csv']);
  }
});

test.each([
  ['ENOSPC', /disk is full/],
  ['EDQUOT', /quota/],
  ['EROFS', /read-only/],
  ['EACCES', /permission/],
  ['EIO', /fault/],
])('a write refused with %s says so plainly', (code, words) => {
  writeFileSync(log, `${HEADER}\n`);
  for (const call of ['open', 'write', 'sync'] as const) {
    const refused = refusal(() => appendLine(failing(call, code), log, HEADER, ROW, AT));
    expect(refused.message).toMatch(words);
    expect(refused.message).not.toMatch(/injected|undefined/);
    expect(refused.hint).not.toBe('');
    expect(content()).toBe(`${HEADER}\n`);
  }
});

test('a missing folder is named as such', () => {
  const refused = refusal(() =>
    appendLine(realDisk, join(folder, 'log', 'x.csv'), HEADER, ROW, AT),
  );
  expect(refused.message).toMatch(/folder is not there/);
});

test('a log that cannot even be cut back says what is left behind', () => {
  writeFileSync(log, `${HEADER}\n`);
  const full = fullAfter(5);
  const disk = { ...full, truncate: failing('truncate', 'EIO').truncate };
  const refused = refusal(() => appendLine(disk, log, HEADER, ROW, AT));
  expect(refused.hint).toMatch(/part of a line/);
  appendLine(realDisk, log, HEADER, NEXT, AT);
  expect(content()).toBe(`${HEADER}\n${NEXT}\n`);
});

test('torn files are listed with their log, time and text until they are gone', () => {
  const logs = join(folder, 'log');
  expect(tornFiles(realDisk, logs)).toEqual([]);
  realDisk.makeFolder(logs);
  writeFileSync(join(logs, 'sets.csv'), `${HEADER}\nhalf a r`);
  appendLine(realDisk, join(logs, 'sets.csv'), HEADER, ROW, AT);
  writeFileSync(join(logs, 'sets.csv.bak'), 'not one');
  expect(tornFiles(realDisk, logs)).toEqual([
    {
      path: 'log/sets.csv.torn-20270307T183102Z',
      log: 'log/sets.csv',
      stamp: '20270307T183102Z',
      text: 'half a r',
    },
  ]);
});
