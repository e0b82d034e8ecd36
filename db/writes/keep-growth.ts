import type { ReadPosition } from "../../src/ingest/read-position";
import type { ContentPrints } from "../samples/content-prints";
import type { TransactionSql } from "../samples/copy-in";

/** What is kept of a log that was read from a file, for when the file has grown. */
export type Growth = {
  fileId: string | null;
  /** Null for a log of less than a block: its hash is made anew in no time. */
  prints: Pick<ContentPrints, "blocks" | "shaState"> | null;
  position: ReadPosition | null;
};

/** Keeps it in place of what was kept before. */
export async function keepGrowth(
  tx: TransactionSql,
  siteId: number,
  logId: number,
  { fileId, prints, position }: Growth,
): Promise<void> {
  await tx`
    insert into log_growth (site_id, log_id, file_id, blocks, sha_state, read_bytes, reading, tail_from_ms)
    values (${siteId}, ${logId}, ${fileId}, ${prints?.blocks ?? null}, ${prints?.shaState ?? null},
      ${position?.bytes ?? null}, ${position === null ? null : Buffer.from(position.state)},
      ${position?.tailFromMs ?? null})
    on conflict (site_id, log_id) do update set file_id = excluded.file_id, blocks = excluded.blocks,
      sha_state = excluded.sha_state, read_bytes = excluded.read_bytes, reading = excluded.reading,
      tail_from_ms = excluded.tail_from_ms`;
}

/** A log was read again: where its reading stands is another place now. Nothing for a log that came from no file. */
export async function keepPosition(
  tx: TransactionSql,
  siteId: number,
  logId: number,
  position: ReadPosition | null,
): Promise<void> {
  await tx`
    update log_growth set read_bytes = ${position?.bytes ?? null},
      reading = ${position === null ? null : Buffer.from(position.state)}, tail_from_ms = ${position?.tailFromMs ?? null}
    where site_id = ${siteId} and log_id = ${logId}`;
}
