import { formatCount, formatDuration } from "../report/format";

/** How far a long command is. */
export type Progress = {
  bytes: number;
  totalBytes: number | null;
  /** Null where no rows are read. */
  rows: number | null;
};

/** A line on standard error that is written over and over on a terminal, and now and then elsewhere. */
export function progressLine(name: string): { show(progress: Progress): void; end(): void } {
  const beganAt = performance.now();
  const terminal = process.stderr.isTTY === true;
  const everyMs = terminal ? 200 : 5000;
  let shownAt = beganAt;
  let shown = false;
  return {
    show({ bytes, totalBytes, rows }) {
      const now = performance.now();
      if (now - shownAt < everyMs) return;
      shownAt = now;
      shown = true;
      const elapsedS = (now - beganAt) / 1000;
      const read =
        rows === null
          ? `${Math.round(bytes / 1e6)} MB`
          : `${formatCount(rows, "row")}, ${formatCount(Math.round(rows / elapsedS), "row")} a second`;
      const left =
        totalBytes === null || bytes === 0
          ? ""
          : `, ${formatDuration(((totalBytes - bytes) / bytes) * elapsedS)} left`;
      const part =
        totalBytes === null || totalBytes === 0 ? "" : ` ${Math.floor((bytes / totalBytes) * 100)} %,`;
      const line = `${name}:${part} ${read}${left}`;
      process.stderr.write(terminal ? `\r\x1b[K${line}` : `${line}\n`);
    },
    end() {
      if (shown && terminal) process.stderr.write("\r\x1b[K");
    },
  };
}
