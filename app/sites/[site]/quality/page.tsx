import Link from "next/link";
import { monthQuality } from "../../../_data/quality-page";
import { keepUnits } from "../../../_format/keep-units";
import { formatMonth } from "../../../_format/local-time";
import { Freshness } from "../../../_parts/freshness";
import { Empty } from "../../../_parts/message";
import { QualityEntries } from "../../../_parts/quality-entries";
import { QualityMonths } from "../../../_parts/quality-months";
import { Sheet } from "../../../_parts/sheet";

export const metadata = { title: "Quality" };

export default async function Quality({ params, searchParams }: PageProps<"/sites/[site]/quality">) {
  const { month, page } = await monthQuality((await params).site, (await searchParams).month);
  const { site, months, monthHref } = page;
  return (
    <Sheet
      slug={site.slug}
      siteName={site.name}
      monthHref={monthHref}
      here="quality"
      title="Can the figures be trusted?"
      lead={month === null ? undefined : <p>{keepUnits(page.headline)}</p>}
      fields={[
        { label: "Times", value: site.timezone },
        { label: "Period", value: month === null ? "nothing logged yet" : formatMonth(month) },
        {
          label: "Loggers",
          value: month === null ? "none" : page.quality.loggers.map(({ name }) => name).join(", "),
        },
      ]}
    >
      <Freshness slug={site.slug} timezone={site.timezone} revision={site} />
      {month === null ? (
        <Empty title="There is no log yet.">
          <p>
            <Link href={`/sites/${site.slug}/logs`}>Import the first log</Link>
          </p>
        </Empty>
      ) : (
        <>
          <QualityMonths base={`/sites/${site.slug}/quality`} month={month} months={months} />
          <QualityEntries page={page} tables={`/sites/${site.slug}/quality/tables/NAME.csv?month=${month}`} />
        </>
      )}
    </Sheet>
  );
}
