import Link from "next/link";
import { notFound } from "next/navigation";
import { sniffLog } from "../../../../../../src/ingest/sniff-log";
import type { ColumnMapInput } from "../../../../../../src/site/column-map-schema";
import { remapLogAction } from "../../../../../_actions/remap-log";
import { logHead } from "../../../../../_data/log-head";
import { isOpen, logPage } from "../../../../../_data/log-page";
import { read } from "../../../../../_data/read";
import { ActionForm } from "../../../../../_parts/action-form";
import { Entry } from "../../../../../_parts/entry";
import { MapForm } from "../../../../../_parts/map-form";
import { Message } from "../../../../../_parts/message";
import { Sheet } from "../../../../../_parts/sheet";

export const metadata = { title: "The map of one log" };

/** The map by which an imported log was read, to be mended: the log is then read again from what is kept of it. */
export default async function LogMap({ params }: PageProps<"/sites/[site]/logs/[log]/map">) {
  const { site: slug, log: id } = await params;
  const { site, monthHref, log, job } = await logPage(slug, id);
  if (log.state !== "imported" || log.columnMap === null) notFound();
  const base = `/sites/${site.slug}/logs/${log.logId}`;
  const head = await read((database) => logHead(database, site.siteId, log));
  const sniffed = sniffLog(head, log.columnMap as ColumnMapInput, {
    name: log.name,
    strict: true,
    receivedAtMs: log.receivedAtMs,
  });
  return (
    <Sheet
      slug={site.slug}
      siteName={site.name}
      monthHref={monthHref}
      here="logs"
      title={`How ${log.name} is read`}
      fields={[
        { label: "Logger", value: log.loggerName },
        { label: "Times", value: site.timezone },
      ]}
    >
      {isOpen(job) ? (
        <Message kind="caution" title="A change of this log is under way.">
          <p>
            Its map can be changed when that is done. <Link href={base}>Look at it</Link>
          </p>
        </Message>
      ) : sniffed.refusal !== null ? (
        <Message kind="error" title="The log can’t be read by its map any more.">
          <p>
            {sniffed.refusal.what} {sniffed.refusal.hint}
          </p>
        </Message>
      ) : (
        <Entry
          title="Mend the map, then read the log again with it."
          aside={
            <>
              <p>
                The log is read from what is kept of it, at its place among the others; the results follow. If
                nothing of it can be taken so, nothing is changed.
              </p>
              <p>Later logs of this shape are read by the new map.</p>
            </>
          }
        >
          <ActionForm
            action={remapLogAction.bind(null, { slug: site.slug, logId: String(log.logId) })}
            submit="Read again with this map"
            busy="Putting it in line …"
            label="Column map"
          >
            <MapForm sniffed={sniffed} remap />
          </ActionForm>
        </Entry>
      )}
      <p className="no-print">
        <Link href={base}>This log</Link>
      </p>
    </Sheet>
  );
}
