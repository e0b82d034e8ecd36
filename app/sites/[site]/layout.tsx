import type { ReactNode } from "react";
import { sitePage } from "../../_data/site-page";

/** Looks for the site before anything is sent, so that an address without one is answered with 404. */
export default async function SiteLayout({ params, children }: LayoutProps<"/sites/[site]">) {
  await sitePage((await params).site);
  return children as ReactNode;
}
