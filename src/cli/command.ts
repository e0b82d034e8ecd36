/** What a command is run with. */
export type CommandInput = {
  readonly positionals: readonly string[];
  /** Value of a text option; undefined where it wasn't given. */
  text(name: string): string | undefined;
  flag(name: string): boolean;
};

/** One command of the command line. `run` returns the exit code and throws CommandError or AppError. */
export type Command = {
  readonly name: string;
  readonly summary: string;
  readonly usage: string;
  readonly description: string;
  /** Words beside the options that it takes at most; one more is wrong usage. Any number without it. */
  readonly maxWords?: number;
  readonly options: { readonly [name: string]: { readonly type: "string" | "boolean" } };
  run(input: CommandInput): Promise<number>;
};
