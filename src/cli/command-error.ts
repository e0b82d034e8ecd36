/** A way for a command to end that isn't success: 1 the input was refused, 2 the command was used wrongly. */
export class CommandError extends Error {
  override readonly name = "CommandError";
  readonly exitCode: 1 | 2;
  /** Printed on standard error, one a line, after the message. */
  readonly details: readonly string[];

  constructor(exitCode: 1 | 2, message: string, details: readonly string[] = []) {
    super(message);
    this.exitCode = exitCode;
    this.details = details;
  }
}
