import type { ErrorCode } from "./error-catalogue";

/** Why nothing of a log is taken: a problem of the file or its header. */
export type Refusal = {
  readonly code: Extract<ErrorCode, `file.${string}` | `header.${string}`>;
  /** What is wrong, with the figures of this file. */
  readonly what: string;
  /** "march.csv, line 1, column 3". */
  readonly where: string;
  readonly hint: string;
};
