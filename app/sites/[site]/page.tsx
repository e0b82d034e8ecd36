import { redirect } from "next/navigation";
import { sitePage } from "../../_data/site-page";

/** A site's own address leads to its latest month, or to its logs before the first import. */
export default async function Site({ params }: PageProps<"/sites/[site]">) {
  const { site, monthHref } = await sitePage((await params).site);
  redirect(monthHref ?? `/sites/${site.slug}/logs`);
}
