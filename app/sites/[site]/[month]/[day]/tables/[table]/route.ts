import { answer } from "../../../../../../_data/answer";
import { csvFile } from "../../../../../../_data/csv-file";
import { dayPage } from "../../../../../../_data/day-page";
import { dayEvents, dayEventsTable } from "../../../../../../_tables/day-events";
import { dayValues } from "../../../../../../_tables/day-values";

/** The tables behind a day's picture, as files; of the values only the part that the address asks for. */
export function GET(
  request: Request,
  { params }: RouteContext<"/sites/[site]/[month]/[day]/tables/[table]">,
): Promise<Response> {
  return answer(async () => {
    const { site: slug, month, day: dd, table } = await params;
    const asked = Object.fromEntries(new URL(request.url).searchParams);
    const { site, day, clock, query, results, stretch } = await dayPage(slug, month, dd, asked);
    const of = `${site.slug}-${day.date}`;
    switch (table) {
      case "events.csv":
        return csvFile(dayEventsTable(dayEvents(site.slug, results, day, clock), site.timezone), of);
      case "values.csv":
        if (query.problem !== null) return new Response(`${query.problem}\n`, { status: 400 });
        if (stretch === null) return new Response("There are no samples there.\n", { status: 404 });
        return csvFile(dayValues(stretch, site.timezone), of);
      default:
        return new Response("There is no such table.\n", { status: 404 });
    }
  });
}
