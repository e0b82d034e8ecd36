import { samplesBetween } from "../../db/queries/samples-between";
import type { TestDatabase } from "./test-database";

/** All that a site's fold comes to, but ids, clock times and the numbers that faults have. */
export async function foldOf(database: TestDatabase, site: number) {
  const { sql } = database;
  const stretch = await samplesBetween(database, site, 0, Date.UTC(2100, 0, 1), 1_000_000);
  const columns = stretch?.series;
  const minutes = await sql`
    select minute_ms, samples, held_s, mean, min, max, on_s from rollup where site_id = ${site} order by minute_ms`;
  const [logger] = await sql`
    select nominal_ms, channels, has_source, has_fault, first_ms, last_ms, samples, has_segments
    from logger where site_id = ${site}`;
  const logs = await sql`
    select name, sha256, size_bytes, column_map, verdict, guessed, first_ms, last_ms, shift_ms, first_stamps_ms
    from log where site_id = ${site} and state = 'imported' order by position`;
  const rejects = await sql`
    select position, ordinal, line, column_no, column_name, code, text, r.guessed from reject r
    join log l using (site_id, log_id) where site_id = ${site} and state = 'imported' order by position, ordinal`;
  const days = await sql`
    select to_jsonb(d) - 'site_id' - 'segment_ms' - 'sums' as day from day_result d where site_id = ${site} order by 1`;
  return JSON.parse(
    JSON.stringify({
      timesMs: columns && [...columns.timesMs],
      channels:
        columns &&
        Object.entries(columns.channels).map(([name, values]) => [name, [...(values ?? [])].map(String)]),
      sources: columns?.sources && [...columns.sources],
      faults:
        columns?.faults && Array.from(columns.faults, (fault) => stretch!.faultWords[fault - 1] ?? null),
      minutes,
      logger,
      logs,
      rejects,
      days,
    }),
  );
}
