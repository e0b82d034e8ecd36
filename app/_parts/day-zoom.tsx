import Link from "next/link";
import type { LocalClock } from "../../src/analysis/local-time";
import { clockInDay, type DayBounds, type DayStretch, dayHref, stretchHref } from "../_format/day-address";
import { partsOfDay, zoomSteps } from "../_format/zoom-steps";
import styles from "./day-zoom.module.css";

/** Ways through a day: closer, wider, earlier, later, or a stretch that is typed in. Links and a form: no script. */
export function DayZoom({
  slug,
  day,
  stretch,
  clock,
}: {
  slug: string;
  day: DayBounds;
  stretch: DayStretch;
  clock: LocalClock;
}) {
  const steps = zoomSteps(stretch, day);
  const link = (to: { fromMs: number; toMs: number } | null, text: string, says: string) =>
    to === null ? null : (
      <li>
        <Link href={stretchHref(slug, day, to.fromMs, to.toMs, clock)} scroll={false} prefetch={false}>
          {text}
          <span className="visually-hidden">: {says}</span>
        </Link>
      </li>
    );
  const between = ({ fromMs, toMs }: { fromMs: number; toMs: number }) =>
    `${short(clockInDay(fromMs, day, clock))} to ${short(clockInDay(toMs, day, clock))}`;
  return (
    <div className={`${styles.zoom} no-print`}>
      <nav aria-label="Part of the day">
        <ul>
          {stretch.zoomed
            ? link(day, "Whole day", "00:00 to 24:00")
            : partsOfDay(day).map((part) => (
                <li key={part.fromMs}>
                  <Link
                    href={stretchHref(slug, day, part.fromMs, part.toMs, clock)}
                    scroll={false}
                    prefetch={false}
                  >
                    {between(part)}
                  </Link>
                </li>
              ))}
          {stretch.zoomed ? (
            <>
              {link(steps.earlier, "← Earlier", steps.earlier === null ? "" : between(steps.earlier))}
              {link(steps.closer, "Closer", steps.closer === null ? "" : between(steps.closer))}
              {link(steps.wider, "Wider", steps.wider === null ? "" : between(steps.wider))}
              {link(steps.later, "Later →", steps.later === null ? "" : between(steps.later))}
            </>
          ) : null}
        </ul>
      </nav>
      <form action={dayHref(slug, day.date)} className={styles.typed}>
        <label>
          From
          <input
            name="from"
            defaultValue={clockInDay(stretch.fromMs, day, clock)}
            size={8}
            autoComplete="off"
            spellCheck={false}
          />
        </label>
        <label>
          To
          <input
            name="to"
            defaultValue={clockInDay(stretch.toMs, day, clock)}
            size={8}
            autoComplete="off"
            spellCheck={false}
          />
        </label>
        <button type="submit">Show</button>
      </form>
    </div>
  );
}

/** Without seconds where they are none. */
function short(text: string): string {
  return text.replace(/^(\d\d:\d\d):00(?=$|[+-])/, "$1");
}
