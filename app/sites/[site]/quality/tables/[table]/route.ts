import type { NextRequest } from "next/server";
import { answer } from "../../../../../_data/answer";
import { qualityFile } from "../../../../../_data/quality-file";
import { monthQuality } from "../../../../../_data/quality-page";

/** The tables of a site's quality sheet, as files; the month stands in the query. */
export function GET(
  request: NextRequest,
  { params }: RouteContext<"/sites/[site]/quality/tables/[table]">,
): Promise<Response> {
  return answer(async () => {
    const { site, table } = await params;
    const { month, page } = await monthQuality(site, request.nextUrl.searchParams.get("month") ?? undefined);
    if (month === null) return new Response("There is no log yet.\n", { status: 404 });
    return qualityFile(page, decodeURIComponent(table), `${page.site.slug}-${month}`);
  });
}
