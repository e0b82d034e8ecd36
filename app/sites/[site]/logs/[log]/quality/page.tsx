import Link from "next/link";
import { notFound } from "next/navigation";
import { logQuality } from "../../../../../_data/quality-page";
import { keepUnits } from "../../../../../_format/keep-units";
import { localTime } from "../../../../../_format/local-time";
import { QualityEntries } from "../../../../../_parts/quality-entries";
import { Sheet } from "../../../../../_parts/sheet";

export const metadata = { title: "Quality of one log" };

export default async function LogQuality({ params }: PageProps<"/sites/[site]/logs/[log]/quality">) {
  const { site: slug, log: id } = await params;
  const { log, page } = await logQuality(slug, id);
  if (page === null) notFound();
  const { site, monthHref } = page;
  const base = `/sites/${site.slug}/logs/${log.logId}`;
  return (
    <Sheet
      slug={site.slug}
      siteName={site.name}
      monthHref={monthHref}
      here="logs"
      title={`Can ${log.name} be trusted?`}
      lead={<p>{keepUnits(page.headline)}</p>}
      fields={[
        { label: "Times", value: site.timezone },
        {
          label: "Days",
          value: `${localTime(log.firstMs!, site.timezone).day} to ${localTime(log.lastMs!, site.timezone).day}`,
        },
        { label: "Logger", value: log.loggerName },
      ]}
    >
      <QualityEntries page={page} tables={`${base}/quality/NAME.csv`} />
      <p className="no-print">
        <Link href={base}>This log</Link>
      </p>
    </Sheet>
  );
}
