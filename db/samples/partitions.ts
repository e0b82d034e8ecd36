import type { Sql } from "../open-database";
import { PARTITION_LOCK } from "../writes/job-lock";

/** First instant of the UTC month that holds `atMs`, and of the next. */
export function utcMonth(atMs: number): { fromMs: number; toMs: number } {
  const at = new Date(atMs);
  return {
    fromMs: Date.UTC(at.getUTCFullYear(), at.getUTCMonth(), 1),
    toMs: Date.UTC(at.getUTCFullYear(), at.getUTCMonth() + 1, 1),
  };
}

/**
 * Makes sure that `sample` has a partition for every UTC month that `fromMs` to `toMs` touches.
 *
 * Each is made empty and then attached, in a short transaction of its own: attaching a table lets readers and
 * writers of the other partitions go on, where `create table … partition of` would make them wait.
 */
export async function makePartitions(sql: Sql, fromMs: number, toMs: number): Promise<void> {
  for (let month = utcMonth(fromMs); month.fromMs <= toMs; month = utcMonth(month.toMs)) {
    const name = partitionName(month.fromMs);
    // Mostly it is there: a look outside a transaction saves those who import a row at a time the way there.
    const [known] = await sql`select to_regclass(${name}) is not null as there`;
    if (known.there) continue;
    await sql.begin(async (tx) => {
      await tx`select pg_advisory_xact_lock(${PARTITION_LOCK}, 0)`;
      const [{ there }] = await tx`select to_regclass(${name}) is not null as there`;
      if (there) return;
      await tx.unsafe(`create table ${name} (like sample including all)`);
      await tx.unsafe(
        `alter table sample attach partition ${name} for values from (${month.fromMs}) to (${month.toMs})`,
      );
    });
  }
}

function partitionName(fromMs: number): string {
  return `sample_${new Date(fromMs).toISOString().slice(0, 7).replace("-", "_")}`;
}
