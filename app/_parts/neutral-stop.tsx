import Link from "next/link";
import { sitePage } from "../_data/site-page";
import { formatInstant, localTime } from "../_format/local-time";
import { Stop } from "./stop";

/** The suspicion of an open neutral, where the site's log raised it lately: what to do, and where it stands. */
export async function NeutralStop({ slug }: { slug: string }) {
  const { site, neutralAtMs } = await sitePage(slug);
  if (neutralAtMs === null) return null;
  const month = localTime(neutralAtMs, site.timezone).date.slice(0, 7);
  return (
    <Stop title="Stop: the neutral may be open or bad.">
      <p>
        The log looked like it last on {formatInstant(neutralAtMs, site.timezone, false)}. Switch off what is
        sensitive, and call an electrician now.{" "}
        <Link href={`/sites/${site.slug}/${month}`}>What this stands on</Link>
      </p>
    </Stop>
  );
}
