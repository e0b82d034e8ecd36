import { listSites } from "../../../../db/queries/list-sites";
import { ALL_SITES } from "../../../../db/schema/api-token";
import { clockOf, localIso } from "../../../../src/report/format";
import { apiAnswer } from "../../../_api/api-answer";
import type { ApiJson } from "../../../_api/api-schemas";

/** The sites that the token is good for. */
export function GET(request: Request): Promise<Response> {
  return apiAnswer(request, "read", async ({ database, token }) => {
    const all = await listSites(database);
    const sites = all.filter(({ siteId }) => token.siteId === ALL_SITES || token.siteId === siteId);
    const body: ApiJson<"SiteList"> = {
      sites: sites.map((site) => {
        const iso = (atMs: number | null) => (atMs === null ? null : localIso(atMs, clockOf(site.timezone)));
        return {
          slug: site.slug,
          name: site.name,
          timezone: site.timezone,
          from: iso(site.firstMs),
          lastSampleAt: iso(site.lastMs),
          months: site.months,
          transfersThisMonth: site.transfersThisMonth,
          transfersMonthBefore: site.transfersMonthBefore,
          peakLoading: site.peak?.loading ?? null,
          coverage: site.coverage,
          samplesRevision: site.samplesRevision,
          resultsRevision: site.resultsRevision,
        };
      }),
    };
    return Response.json(body, { headers: { "cache-control": "no-store" } });
  });
}
