/**
 * HTTP status for each code. The codes are a closed set: a new kind of failure gets a new code here and
 * its status with it, so a route handler never decides on one.
 */
export const HTTP_STATUS = {
  "server-start": 503,
  "server-version": 503,
  "server-unreachable": 503,
  "schema-version": 503,
  "data-folder": 503,
  "disk-full": 507,
  conflict: 409,
  "not-found": 404,
  "bad-input": 400,
  "cut-off": 400,
  unauthorized: 401,
  forbidden: 403,
  "too-large": 413,
  "unsupported-type": 415,
  misdirected: 421,
  unreadable: 422,
  unsettled: 422,
  "too-many": 429,
  cancelled: 409,
  busy: 503,
} as const satisfies Record<string, number>;

/** What went wrong, in one word that a program can branch on. */
export type AppErrorCode = keyof typeof HTTP_STATUS;

/** Where something is wrong and how to mend it, apart from the message; and after how long it is worth another try. */
export type ErrorDetails = {
  readonly where?: string;
  readonly hint?: string;
  readonly retryAfterS?: number;
  /** Further figures that belong to the failure, by name. */
  readonly figures?: Readonly<Record<string, unknown>>;
};

/**
 * The one error that db, the worker, the command line and the app throw for what a person can do something
 * about. The message is a whole sentence for that person: what, where, how to mend it. Anything else that is
 * thrown is a defect.
 */
export class AppError extends Error {
  override readonly name = "AppError";
  /** What went wrong, from the closed set. */
  readonly code: AppErrorCode;
  /** What a program is told beside the message. */
  readonly more: ErrorDetails;

  constructor(code: AppErrorCode, message: string, options?: { cause?: unknown; more?: ErrorDetails }) {
    super(message, options);
    this.code = code;
    this.more = options?.more ?? {};
  }

  /** The HTTP status that a response to this failure carries. */
  get status(): number {
    return HTTP_STATUS[this.code];
  }
}
