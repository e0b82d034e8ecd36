import type { Writable } from "node:stream";
import type postgres from "postgres";

/** A transaction, or a savepoint in one. */
export type TransactionSql = postgres.TransactionSql<{ bigint: number }>;

/** A binary COPY under way. Until it has ended its connection takes no other statement. */
export type CopyIn = {
  /** Hands over encoded rows; resolves when there is room for more. The bytes are the copy's from here on. */
  write(rows: Buffer): Promise<void>;
  /** Resolves when the server has taken everything. */
  end(): Promise<void>;
  /** Breaks off, so that the transaction can be rolled back; harmless after the end or a failure. */
  abort(): void;
};

/** Bytes that may wait for the server before `write` makes its caller wait. */
const MAX_WAITING_BYTES = 4 << 20;

const SIGNATURE = Buffer.from("5047434f50590aff0d0a000000000000000000", "hex");
const TRAILER = Buffer.from([0xff, 0xff]);

/**
 * Begins `copy … from stdin with (format binary)`.
 *
 * @param statement the whole statement
 * @returns a copy whose `write` and `end` reject with the server's error
 */
export async function openCopyIn(tx: TransactionSql, statement: string): Promise<CopyIn> {
  let failure: unknown = null;
  let wake: (() => void) | null = null;
  let ended = false;
  let waiting = 0;
  const fail = (error: unknown) => {
    failure ??= error;
    wake?.();
  };
  const query = tx.unsafe(statement);
  const stream: Writable = await query.writable();
  stream.on("error", fail);
  // After the end of the data the driver tells of an error only the query, whose promise has been kept already.
  (query as unknown as { reject: (error: unknown) => void }).reject = fail;
  stream.on("finish", () => {
    ended = true;
    wake?.();
  });
  async function until(done: () => boolean): Promise<void> {
    while (failure === null && !done()) {
      await new Promise<void>((resolve) => {
        wake = resolve;
      });
      wake = null;
    }
    if (failure !== null) throw failure;
  }
  function put(bytes: Buffer): void {
    waiting += bytes.length;
    stream.write(bytes, () => {
      waiting -= bytes.length;
      if (waiting <= MAX_WAITING_BYTES) wake?.();
    });
  }
  put(SIGNATURE);
  return {
    async write(rows) {
      if (failure !== null) throw failure;
      put(rows);
      await until(() => waiting <= MAX_WAITING_BYTES);
    },
    async end() {
      if (failure !== null) throw failure;
      stream.end(TRAILER);
      await until(() => ended);
    },
    abort() {
      if (!ended && failure === null) stream.destroy(new Error("Broken off."));
    },
  };
}
