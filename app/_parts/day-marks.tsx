import Link from "next/link";
import type { LocalClock } from "../../src/analysis/local-time";
import type { DayEvent } from "../_charts/day-picture";
import { type DayBounds, stretchHref } from "../_format/day-address";
import { localTime } from "../_format/local-time";
import styles from "./day-marks.module.css";
import { eventClusters } from "./event-clusters";

const LETTERS = { transfer: "T", dropout: "D", "near-limit": "N", imbalance: "≠" } as const;

/**
 * Marks of what happened, over the picture's time axis, each a link: one event to its sheet, several that stand too
 * near one another to the day's part around them.
 */
export function DayMarks({
  slug,
  day,
  stretch,
  events,
  clock,
  timezone,
  places,
}: {
  slug: string;
  day: DayBounds;
  stretch: { fromMs: number; toMs: number };
  events: readonly DayEvent[];
  clock: LocalClock;
  timezone: string;
  /** Marks that have room side by side. */
  places: number;
}) {
  const clusters = eventClusters(events, stretch, places);
  return (
    <ul className={styles.marks}>
      {clusters.map(({ events: some, fromMs, toMs, share }) => {
        const [first] = some;
        const one = some.length === 1;
        const at = localTime(first.fromMs, timezone).clockWithSeconds;
        const href = one ? first.href : stretchHref(slug, day, fromMs, toMs, clock);
        const says = one
          ? `${at}, ${first.text}`
          : `${some.length} events from ${at}: ${[...new Set(some.map(({ text }) => text))].join(", ")}`;
        return (
          <li key={first.fromMs} style={{ "--at": share } as React.CSSProperties}>
            <Link
              href={href}
              prefetch={false}
              scroll={one && first.kind === "transfer"}
              aria-label={says}
              title={says}
            >
              {one ? LETTERS[first.kind] : some.length}
            </Link>
          </li>
        );
      })}
    </ul>
  );
}

/** The letters in the marks, for the legend. */
export function DayMarksKey({ events }: { events: readonly DayEvent[] }) {
  const kinds = new Set(events.map(({ kind }) => kind));
  return (
    <>
      {(["transfer", "dropout", "near-limit", "imbalance"] as const)
        .filter((kind) => kinds.has(kind))
        .map((kind) => (
          <span key={kind} className={styles.key}>
            <b>{LETTERS[kind]}</b> {NAMES[kind]}
          </span>
        ))}
    </>
  );
}

const NAMES = {
  transfer: "transfer",
  dropout: "dropout",
  "near-limit": "near or above a limit: slanted lines",
  imbalance: "the legs differ far: a bar along zero",
} as const;
