"use client";

import { useRouter } from "next/navigation";
import { useEffect, useState } from "react";
import type { JobProgress, JobState } from "../../db/schema/job";
import { formatBytes } from "../_format/count";
import { formatDuration } from "../_format/duration";
import { formatNumber } from "../_format/number";
import styles from "./import-progress.module.css";

type Progress = { state: JobState | null; progress: JobProgress | null; cancelRequested: boolean };

const EVERY_MS = 500;

/** How far an import or another change of a log is; renews the page when it has ended. */
export function ImportProgress({ href, first, doing }: { href: string; first: Progress; doing: string }) {
  const router = useRouter();
  const [{ state, progress, cancelRequested }, setNow] = useState(first);
  useEffect(() => {
    const timer = setInterval(async () => {
      const response = await fetch(href, { cache: "no-store" }).catch(() => null);
      if (!response?.ok) return;
      const now: Progress = await response.json();
      setNow(now);
      if (now.state !== "waiting" && now.state !== "running") {
        clearInterval(timer);
        router.refresh();
      }
    }, EVERY_MS);
    return () => clearInterval(timer);
  }, [href, router]);
  const share = progress === null || progress.totalBytes === 0 ? null : progress.bytes / progress.totalBytes;
  return (
    <div className={styles.progress}>
      <p role="status">
        {cancelRequested
          ? "Stopping …"
          : state === "waiting"
            ? "In line: it begins when the worker is free."
            : doing}
      </p>
      <progress value={share ?? undefined} max={1} aria-label="Part of the log that has been read" />
      {progress === null ? null : (
        <dl className={styles.figures}>
          <div>
            <dt>Read</dt>
            <dd>
              {formatBytes(progress.bytes)} of {formatBytes(progress.totalBytes)}
            </dd>
          </div>
          <div>
            <dt>Rows</dt>
            <dd>{formatNumber(progress.rows)}</dd>
          </div>
          <div>
            <dt>Rows a second</dt>
            <dd>{formatNumber(progress.rowsPerS)}</dd>
          </div>
          <div>
            <dt>Time left</dt>
            <dd>{formatDuration(progress.leftS)}</dd>
          </div>
        </dl>
      )}
    </div>
  );
}
