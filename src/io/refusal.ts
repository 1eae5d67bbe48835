/**
 * Thrown when something could not be written: the command ends with exit code 4 and has changed
 * nothing. `message` says what happened in plain words, `hint` what to do about it.
 */
export class WriteRefused extends Error {
  override readonly name = 'WriteRefused';
  readonly hint: string;

  constructor(message: string, hint: string, options?: { cause?: unknown }) {
    super(message, options);
    this.hint = hint;
  }
}

/** The system's code of a failed call (`ENOSPC`), or an empty text. */
export function codeOf(error: unknown): string {
  const code = error instanceof Error ? (error as NodeJS.ErrnoException).code : undefined;
  return typeof code === 'string' ? code : '';
}

/**
 * Puts a failed system call into a keeper's words. Any other error is a slip of the program's own
 * and is handed back as it is.
 *
 * @param error what node:fs threw
 * @param path the file or folder that was to be written
 */
export function refusalOf(error: unknown, path: string): unknown {
  const code = codeOf(error);
  if (code === '') return error;
  const [what, hint] = wordsOf(code, error);
  return new WriteRefused(`${path}: not written: ${what}`, hint, { cause: error });
}

/** The same for a folder that is new: what is missing there is not the season's. */
export function refusalOfNew(error: unknown, folder: string): unknown {
  return codeOf(error) === 'ENOENT'
    ? new WriteRefused(
        `${folder}: not written: no folder can be made there`,
        'give a folder in another place',
        { cause: error },
      )
    : refusalOf(error, folder);
}

function wordsOf(code: string, error: unknown): readonly [string, string] {
  switch (code) {
    case 'ENOSPC':
      return ['the disk is full', 'free some space, then repeat the command; nothing was recorded'];
    case 'EDQUOT':
      return [
        'your disk quota is used up',
        'free some space, then repeat the command; nothing was recorded',
      ];
    case 'EFBIG':
      return [
        'the file would grow past the size allowed',
        'raise the limit, or start a new season',
      ];
    case 'EROFS':
      return [
        'the disk is read-only',
        'is it a card with its lock slid down, or a disk mounted read-only after a fault?',
      ];
    case 'EACCES':
    case 'EPERM':
      return [
        'no permission',
        'is the file or its folder marked read-only, or does it belong to another user?',
      ];
    case 'ENOENT':
      return [
        'the folder is not there',
        'was the season folder moved, or its log folder deleted while the command ran?',
      ];
    case 'ENOTDIR':
      return ['a file is in the way of a folder of that name', 'move that file, then repeat'];
    case 'EISDIR':
      return ['a folder is in the way of a file of that name', 'move that folder, then repeat'];
    case 'ELOOP':
      return ['links that point at each other', 'mend the links, then repeat'];
    case 'EMFILE':
    case 'ENFILE':
      return ['too many files are open', 'close other programs, then repeat'];
    case 'EBUSY':
    case 'ETXTBSY':
      return ['another program holds the file', 'close it there, then repeat'];
    case 'EIO':
      return [
        'the disk reported a fault',
        'copy the season folder to another disk before anything else',
      ];
    default:
      return [error instanceof Error ? error.message : String(error), 'nothing was recorded'];
  }
}
