import { findSeasonBelow, findSeasonFolder } from '../io/season-folder.ts';

/** What `traybook` alone says where there is no season yet; null where there is one. */
export function welcome(folder: string): string | null {
  if ((findSeasonFolder(folder) ?? findSeasonBelow(folder)) !== null) return null;
  return `traybook: the season book of a small breeder who hatches their own poultry

There is no season in this folder, above it or below it. To begin one:

  traybook new 2027              asks a few questions, then makes the folder 2027
  cd 2027
  traybook today                 what is due this morning

To look round first:

  traybook new --example trial   makes two example seasons in the folder trial
  traybook guide first-week      a whole first set, step by step
  traybook guide words           what set, share, lot and the rest mean here
  traybook --help                every command

A season elsewhere: traybook --season FOLDER today
`;
}
