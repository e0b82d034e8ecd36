import { answer } from "../../../../../_data/answer";
import { csvFile } from "../../../../../_data/csv-file";
import { legsPage } from "../../../../../_data/legs-page";
import { periodSearch } from "../../../../../_data/period-query";
import { imbalanceIntervals } from "../../../../../_tables/imbalance-intervals";
import { legDensityTable } from "../../../../../_tables/leg-density";
import { legVoltageByLeg, legVoltages } from "../../../../../_tables/leg-voltages";
import { legsByHour } from "../../../../../_tables/legs-by-hour";
import { loadDurationCurve } from "../../../../../_tables/load-duration";
import { neutralCurrent } from "../../../../../_tables/neutral-current";

/** The tables behind the pictures of the legs, as files. */
export function GET(
  request: Request,
  { params }: RouteContext<"/sites/[site]/legs/tables/[table]">,
): Promise<Response> {
  return answer(async () => {
    const { site: slug, table } = await params;
    const query = Object.fromEntries(new URL(request.url).searchParams);
    const { site, period, problem, results } = await legsPage(slug, query);
    // A file of another period than the one asked for would be taken for it.
    if (problem !== null) return new Response(`${problem}\n`, { status: 400 });
    const of = `${site.slug}-${periodSearch(period)
      .replace(/^\?(?:month=|period=|from=)/, "")
      .replace("&to=", "-to-")}`;
    const { figures, legs } = results;
    const none = (what: string) => new Response(`${what} not in this log.\n`, { status: 404 });
    switch (table) {
      case "leg-density.csv":
        return legs.density === null
          ? none("What each leg carries is")
          : csvFile(legDensityTable(legs.density), of);
      case "load-duration.csv":
        return figures.loadDuration === null
          ? none("A load is")
          : csvFile(loadDurationCurve(figures.loadDuration), of);
      case "legs-by-hour.csv":
        return csvFile(legsByHour(legs.hours), of);
      case "neutral-current.csv":
        return legs.neutral === null
          ? none("What each leg carries is")
          : csvFile(neutralCurrent(legs.neutral), of);
      case "leg-voltages.csv":
        return legs.voltage === null
          ? none("The voltage of the legs is")
          : csvFile(legVoltages(legs.voltage), of);
      case "leg-voltage-by-leg.csv":
        return figures.voltage === null
          ? none("The voltage of the legs is")
          : csvFile(legVoltageByLeg(figures.voltage, site.timezone), of);
      case "imbalance-intervals.csv":
        return csvFile(imbalanceIntervals(figures.imbalance?.intervals ?? [], site.timezone), of);
      default:
        return new Response("There is no such table.\n", { status: 404 });
    }
  });
}
