/** What may stand where a word is being typed. */
export type Slot =
  | { readonly kind: 'words'; readonly words: readonly CompletionCandidate[] }
  /** Names that are in the season: sets, pens, groups … */
  | { readonly kind: 'names'; readonly of: string }
  | { readonly kind: 'file' }
  | { readonly kind: 'folder' }
  | { readonly kind: 'anything' };

export type CompletionCandidate = { readonly word: string; readonly about: string };

export type CompletionFlag = {
  readonly flag: string;
  readonly about: string;
  /** What follows it, or null for a flag that stands alone. */
  readonly value: Slot | null;
};

/** A command as completion sees it. `under` are its own sub-commands, such as `add`'s records. */
export type CompletionCommand = {
  readonly name: string;
  readonly about: string;
  readonly arguments: readonly Slot[];
  readonly flags: readonly CompletionFlag[];
  readonly under: readonly CompletionCommand[];
};

export const shells = ['bash', 'zsh', 'fish'] as const;
export type Shell = (typeof shells)[number];

// Each script asks the program itself, so names of the season complete as well as flags, and a new
// command needs no new script. `:file` and `:folder` hand over to the shell's own completion.
const scripts: Readonly<Record<Shell, string>> = {
  bash: `# traybook completion for bash: put  eval "$(traybook completion bash)"  into ~/.bashrc
_traybook() {
  local IFS=$'\\n' word=\${COMP_WORDS[COMP_CWORD]} found
  found=($(traybook completion words -- "\${COMP_WORDS[@]:1:COMP_CWORD}" 2>/dev/null))
  COMPREPLY=()
  case \${found[0]-} in
    :file) compopt -o filenames 2>/dev/null; COMPREPLY=($(compgen -f -- "$word")); return ;;
    :folder) compopt -o filenames 2>/dev/null; COMPREPLY=($(compgen -d -- "$word")); return ;;
  esac
  local one
  for one in "\${found[@]}"; do
    COMPREPLY+=("$(printf %q "\${one%%$'\\t'*}")")
  done
}
complete -F _traybook traybook
`,
  zsh: `#compdef traybook
# traybook completion for zsh: put  eval "$(traybook completion zsh)"  into ~/.zshrc, after compinit
_traybook() {
  local -a found shown
  local one
  found=("\${(@f)$(traybook completion words -- "\${(@)words[2,CURRENT]}" 2>/dev/null)}")
  case \${found[1]-} in
    '') return 1 ;;
    :file) _files; return ;;
    :folder) _files -/; return ;;
  esac
  for one in $found; do
    shown+=("\${\${one%%$'\\t'*}//:/\\\\:}:\${one#*$'\\t'}")
  done
  _describe -V 'traybook' shown
}
compdef _traybook traybook
`,
  fish: `# traybook completion for fish: traybook completion fish > ~/.config/fish/completions/traybook.fish
function __traybook_words
  set -l typed (commandline -opc)
  set -l now (commandline -ct)
  set -l found (traybook completion words -- $typed[2..-1] "$now" 2>/dev/null)
  switch "$found[1]"
    case ':file'
      __fish_complete_path (commandline -ct)
    case ':folder'
      __fish_complete_directories (commandline -ct)
    case '*'
      printf '%s\\n' $found
  end
end
complete -c traybook -f -a '(__traybook_words)'
`,
};

/** The script that teaches a shell to complete `traybook`. */
export function completionScript(shell: Shell): string {
  return scripts[shell];
}

/** The words typed so far lead to this command and slot. */
type Standing = {
  readonly slot: Slot | null;
  readonly commands: readonly CompletionCommand[];
  readonly flags: readonly CompletionFlag[];
};

/**
 * What can stand where the last of `typed` is being typed, the words before it complete. `names`
 * gives the names in the season of one kind. The answer is one candidate a line, its description
 * behind a tab; `:file` or `:folder` alone leaves it to the shell.
 */
export function completions(
  top: CompletionCommand,
  typed: readonly string[],
  names: (of: string) => readonly (string | CompletionCandidate)[],
): string[] {
  const before = typed.slice(0, -1);
  const current = typed.at(-1) ?? '';
  const { slot, commands, flags } = standing(top, before);
  if (slot?.kind === 'file' && !current.startsWith('-')) return [':file'];
  if (slot?.kind === 'folder' && !current.startsWith('-')) return [':folder'];
  const used = new Set(before);
  const offered: CompletionCandidate[] = [
    ...(slot?.kind === 'words' ? slot.words : []),
    ...(slot?.kind === 'names'
      ? names(slot.of).map((one) => (typeof one === 'string' ? { word: one, about: slot.of } : one))
      : []),
    ...commands.map((command) => ({ word: command.name, about: command.about })),
    // Flags stay out of the way until they are asked for or nothing else can follow.
    ...(current.startsWith('-') ||
    (commands.length === 0 && (slot === null || slot.kind === 'anything'))
      ? flags
          .filter((one) => !used.has(one.flag))
          .map((one) => ({ word: one.flag, about: one.about }))
      : []),
  ];
  return offered
    .filter(({ word }) => word.startsWith(current))
    .map(({ word, about }) => `${word}\t${about.replace(/\s+/g, ' ')}`);
}

function standing(top: CompletionCommand, before: readonly string[]): Standing {
  let command = top;
  let given = 0;
  let awaited: Slot | null = null;
  let flagsOver = false;
  let flags = [...top.flags];
  for (const word of before) {
    if (awaited) {
      awaited = null;
      continue;
    }
    if (word === '--') {
      flagsOver = true;
      continue;
    }
    if (!flagsOver && word.startsWith('-')) {
      awaited = word.includes('=') ? null : (flags.find((one) => one.flag === word)?.value ?? null);
      continue;
    }
    const under = given === 0 ? command.under.find((one) => one.name === word) : undefined;
    if (under) {
      command = under;
      flags = [...under.flags, ...flags];
    } else given += 1;
  }
  if (awaited) return { slot: awaited, commands: [], flags: [] };
  const slot = command.arguments[given] ?? null;
  return {
    slot,
    commands: given === 0 ? command.under : [],
    flags: flagsOver ? [] : flags,
  };
}
