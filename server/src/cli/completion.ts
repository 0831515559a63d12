/** Scripts that complete command lines of `plugward` in a shell, made from the same table as the help. */
import { findingIds } from '../findings/registry.ts';
import { orList, say } from '../language/phrase.ts';
import { didYouMean, readArguments, speakingOptions, UsageError } from './arguments.ts';
import type { Option, Options } from './arguments.ts';
import { own } from '../base/collections.ts';
import { nearest } from '../base/nearest.ts';
import type { Command, NamedCommand } from './command.ts';
import { localizeOutput, writeOutput } from './terminal.ts';

const levels = ['error', 'warning', 'information', 'off'];

/** Values that can be listed: choices, findings, or findings with a level. */
const wordsOf = (option: Option): readonly string[] =>
  option.choices ??
  (option.completes === 'findings'
    ? findingIds
    : option.completes === 'severities'
      ? findingIds.flatMap((id) => levels.map((level) => `${id}=${level}`))
      : []);

/** A help text as short as a menu wants it. */
function brief(option: Option): string {
  const text = localizeOutput(option.help);
  return text.length <= 60 ? text : `${text.slice(0, text.lastIndexOf(' ', 58)).replace(/[,;:(]$/, '')} …`;
}

const optionsOf = (command: Command): (readonly [name: string, option: Option])[] => [
  ...Object.entries<Option>(command.options),
  ['help', { type: 'boolean', short: 'h', help: say`print this help` }],
];

const spellings = (name: string, { short }: Option): string[] =>
  short === undefined ? [`--${name}`] : [`--${name}`, `-${short}`];

function bash(commands: readonly NamedCommand[]): string {
  const all = commands.map(({ name }) => name).join(' ');
  const values = commands.flatMap((command) =>
    optionsOf(command).flatMap(([name, option]) => {
      if (option.type === 'boolean') return [];
      const patterns = spellings(name, option).map((one) => `"${command.name} ${one}"`);
      const words = wordsOf(option);
      const listed = words.length > 0 ? words.join(' ') : option.completes === 'files' ? '' : 'nothing';
      return [`    ${patterns.join(' | ')}) words="${listed}" ;;`];
    }),
  );
  const places = commands.map((command) => {
    const flags = optionsOf(command).flatMap(([name, option]) => spellings(name, option));
    const { first = [] } = command.completes;
    return `    ${command.name}) flags="${flags.join(' ')}" first="${first.join(' ')}" ;;`;
  });
  return `# Completes command lines of plugward in bash: source <(plugward completion bash)
_plugward() {
  local at=$COMP_CWORD command= current words= flags= first= i
  # An option, "=" and its value are three words here, a finding and its level too; what is typed is one.
  current=\${COMP_WORDS[at]}
  local option=\${COMP_WORDS[at-1]} typed=
  if [[ $current == "=" ]]; then current=
  elif [[ $option == "=" ]]; then option=\${COMP_WORDS[at-2]}
  fi
  if [[ \${COMP_WORDS[at-1]} == "=" || \${COMP_WORDS[at]} == "=" ]] && [[ $option != -* ]]; then
    # The level behind a finding.
    typed=$option=
    for ((i = at; i > 0; i--)); do
      [[ \${COMP_WORDS[i]} == -* ]] && { option=\${COMP_WORDS[i]}; break; }
    done
  fi
  for ((i = 1; i < at; i++)); do
    [[ \${COMP_WORDS[i]} == -* ]] || { command=\${COMP_WORDS[i]}; break; }
  done
  COMPREPLY=()
  case "$command $option" in
${values.join('\n')}
    *) words=none ;;
  esac
  if [[ $words == nothing ]]; then
    type compopt &> /dev/null && compopt +o default +o bashdefault 2> /dev/null
    return
  fi
  if [[ $words != none ]]; then
    # Without words, the files of the folder.
    COMPREPLY=($(compgen -W "$words" -- "$typed$current"))
    COMPREPLY=("\${COMPREPLY[@]#"$typed"}")
    return
  fi
  case $command in
    "") first="help ${all}" ;;
    help) first="${all}" ;;
${places.join('\n')}
  esac
  if [[ $current == -* ]]; then COMPREPLY=($(compgen -W "\${flags:---help --version}" -- "$current"))
  elif [[ -z $command || $i -eq $((at - 1)) ]]; then COMPREPLY=($(compgen -W "$first" -- "$current"))
  fi
}
complete -o bashdefault -o default -F _plugward plugward
`;
}

/** Text inside single quotes of a shell. */
const quoted = (text: string): string => `'${text.replaceAll("'", `'\\''`)}'`;

function zsh(commands: readonly NamedCommand[]): string {
  const bare = (text: string): string => text.replaceAll(/[[\]:\\]/g, (sign) => `\\${sign}`);
  const spec = (name: string, option: Option): string => {
    const one = (flag: string, end: string): string => {
      const words = wordsOf(option);
      const action =
        words.length > 0 ? `(${words.join(' ')})` : option.completes === 'files' ? '_files' : ' ';
      const value = option.type === 'boolean' ? '' : `:${bare(localizeOutput(option.value ?? ''))}:${action}`;
      return quoted(
        `${option.multiple ? '*' : ''}${flag}${option.type === 'boolean' ? '' : end}[${bare(brief(option))}]${value}`,
      );
    };
    return [
      one(`--${name}`, '='),
      ...(option.short === undefined ? [] : [one(`-${option.short}`, '+')]),
    ].join(' ');
  };
  const branches = commands.map((command) => {
    const { first, files } = command.completes;
    const specs = optionsOf(command).map(([name, option]) => spec(name, option));
    const places = [
      ...(first ? [quoted(`1: :(${first.join(' ')})`)] : []),
      ...(files ? [quoted('*: :_files')] : []),
    ];
    return `      ${command.name}) _arguments ${[...specs, ...places].join(' \\\n        ')} ;;`;
  });
  const list = commands.map(({ name, summary }) => quoted(`${name}:${bare(localizeOutput(summary))}`));
  return `#compdef plugward
# Completes command lines of plugward in zsh: a file named _plugward in a folder of $fpath.
_plugward() {
  local curcontext=$curcontext state line
  typeset -A opt_args
  local -a commands=(${[quoted(`help:${bare(localizeOutput(say`help on one command`))}`), ...list].join('\n    ')})
  _arguments -C '1: :->command' '*:: :->rest'
  case $state in
    command) _describe command commands ;;
    rest) case $words[1] in
      help) _arguments ${quoted(`1: :(${commands.map(({ name }) => name).join(' ')})`)} ;;
${branches.join('\n')}
    esac ;;
  esac
}
if [[ $funcstack[1] == _plugward ]]; then _plugward "$@"; else compdef _plugward plugward; fi
`;
}

function fish(commands: readonly NamedCommand[]): string {
  const inQuotes = (text: string): string => `'${text.replaceAll(/['\\]/g, (sign) => `\\${sign}`)}'`;
  const on = (name: string, more = ''): string =>
    `complete -c plugward -n '__fish_seen_subcommand_from ${name}${more}'`;
  const lines = commands.flatMap((command) => {
    const { first, files } = command.completes;
    const given = `__fish_seen_subcommand_from ${first?.join(' ') ?? ''}`;
    return [
      `complete -c plugward -n __fish_use_subcommand -a ${command.name} -d ${inQuotes(localizeOutput(command.summary))}`,
      ...(first ? [`${on(command.name, `; and not ${given}`)} -a ${inQuotes(first.join(' '))}`] : []),
      ...(files ? [`${on(command.name, first && `; and ${given}`)} -F`] : []),
      ...optionsOf(command).map(([name, option]) => {
        const words = wordsOf(option);
        return [
          on(command.name),
          ...(option.short === undefined ? [] : [`-s ${option.short}`]),
          `-l ${name}`,
          ...(option.type === 'boolean' ? [] : [option.completes === 'files' ? '-r -F' : '-x']),
          ...(words.length > 0 ? [`-a ${inQuotes(words.join(' '))}`] : []),
          `-d ${inQuotes(brief(option))}`,
        ].join(' ');
      }),
    ];
  });
  const names = commands.map(({ name }) => name).join(' ');
  return `# Completes command lines of plugward in fish: plugward completion fish | source
complete -c plugward -f
complete -c plugward -n __fish_use_subcommand -a help -d ${inQuotes(localizeOutput(say`help on one command`))}
complete -c plugward -n '__fish_seen_subcommand_from help' -a ${inQuotes(names)}
${lines.join('\n')}
`;
}

const shells = { bash, zsh, fish } as const;

const options = { language: speakingOptions.language } as const satisfies Options;

export const completionOf = (all: () => Promise<NamedCommand[]>): Command => ({
  usage: '{bash|zsh|fish}',
  about: [
    say`Prints a script that completes commands, options, their values, findings and files in a shell. It is made from the same table as this help; nothing is written or changed.`,
  ],
  options,
  completes: { first: Object.keys(shells), files: false },
  examples: [
    ['source <(plugward completion bash)', say`in ~/.bashrc`],
    ['plugward completion zsh > ~/.zfunc/_plugward', say`a folder that is in $fpath before compinit runs`],
    ['plugward completion fish > ~/.config/fish/completions/plugward.fish', say`for every new fish`],
  ],
  async run(args) {
    const { positionals } = readArguments(options, args);
    const [shell = '', ...others] = positionals;
    const script = own<(commands: readonly NamedCommand[]) => string>(shells, shell);
    if (!script || others.length > 0) {
      const guess = nearest(shell, Object.keys(shells));
      throw new UsageError(say`Name one shell: ${orList(Object.keys(shells))}.${didYouMean(guess)}`);
    }
    writeOutput(script(await all()));
    return 0;
  },
});
