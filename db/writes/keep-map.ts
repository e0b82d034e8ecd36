import { createHash } from "node:crypto";
import { type FileShape, logShape } from "../../src/ingest/log-shape";
import type { LogSource } from "../../src/ingest/log-source";
import { shapedHead } from "../../src/ingest/shaped-head";
import { SNIFF_BYTES } from "../../src/ingest/sniff-log";
import type { ColumnMap } from "../../src/site/column-map";
import type { TransactionSql } from "../samples/copy-in";
import { storableJson } from "./storable-json";

/**
 * Keeps the map by which a log was read, for later logs of its shape, in place of an earlier one of that shape. The
 * same map again is only marked as used; what somebody has given of it meanwhile is no guess any more.
 *
 * @param guessed choices of the map that nobody gave: "time", channels
 */
export async function keepMap(
  tx: TransactionSql,
  log: { siteId: number; loggerId: number; source: LogSource; map: ColumnMap; guessed: readonly string[] },
): Promise<void> {
  const { siteId, loggerId, source, map, guessed } = log;
  const head = await headOf(source);
  const shaped = shapedHead(source.name, head, head.byteLength < SNIFF_BYTES, [map.time.column]);
  if (shaped === null) return;
  const shape = logShape(shaped, map.time.column);
  await tx`
    insert into kept_map as kept (site_id, logger_id, shape_hash, shape, column_map, guessed, log_name)
    values (${siteId}, ${loggerId}, ${shapeHash(shape)}, ${storableJson(shape)}::text::jsonb,
      ${storableJson(map)}::text::jsonb, ${[...guessed]}, ${source.name.replaceAll("\0", "")})
    on conflict (site_id, logger_id, shape_hash) do update set
      last_used_ms = excluded.last_used_ms,
      column_map = excluded.column_map,
      guessed = case when kept.column_map = excluded.column_map
        then array(select choice from unnest(kept.guessed) choice where choice = any(excluded.guessed))
        else excluded.guessed end,
      log_name = case when kept.column_map = excluded.column_map then kept.log_name else excluded.log_name end,
      created_at_ms =
        case when kept.column_map = excluded.column_map then kept.created_at_ms else excluded.created_at_ms end`;
}

function shapeHash({ names, kinds, delimiter, decimalMark, timeForm }: FileShape): string {
  return createHash("sha256")
    .update(JSON.stringify([names, kinds, delimiter, decimalMark, timeForm]))
    .digest("hex");
}

async function headOf(source: LogSource): Promise<Buffer> {
  const parts: Uint8Array[] = [];
  let size = 0;
  for await (const bytes of source.open()) {
    parts.push(bytes);
    size += bytes.byteLength;
    if (size >= SNIFF_BYTES) break;
  }
  return Buffer.concat(parts).subarray(0, SNIFF_BYTES);
}
