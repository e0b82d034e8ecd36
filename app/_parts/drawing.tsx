import type { EChartsOption } from "echarts/types/dist/shared";
import type { ReactNode } from "react";
import { renderSvg } from "../_charts/render-svg";
import styles from "./drawing.module.css";

const WIDE = 880;
const NARROW = 350;

/**
 * A drawing made on the server, once for a wide and once for a narrow place, so that its type keeps its size
 * on a phone; the page shows the one that fits. `label` says to who can't see it what it shows.
 */
export function Drawing({
  option,
  height,
  narrowHeight = height,
  label,
  legend,
}: {
  option: (narrow: boolean) => EChartsOption;
  height: number;
  narrowHeight?: number;
  label: string;
  legend?: ReactNode;
}) {
  const wide = renderSvg(option(false), WIDE, height);
  const narrow = renderSvg(option(true), NARROW, narrowHeight);
  return (
    <figure className={styles.drawing}>
      {legend === undefined ? null : <figcaption className={styles.legend}>{legend}</figcaption>}
      <div role="img" aria-label={label}>
        {/* biome-ignore lint/security/noDangerouslySetInnerHtml: drawn by the chart library from figures; texts are escaped there */}
        <div className={styles.wide} dangerouslySetInnerHTML={{ __html: wide }} />
        {/* biome-ignore lint/security/noDangerouslySetInnerHtml: as above */}
        <div className={styles.narrow} dangerouslySetInnerHTML={{ __html: narrow }} />
      </div>
    </figure>
  );
}

/** One line of a legend: a sample of the mark, and its name. */
export function Key({
  mark,
  colour,
  children,
}: {
  mark: "solid" | "dashed" | "dotted" | "plain" | "slanted" | "level" | "spots";
  colour: string;
  children: ReactNode;
}) {
  return (
    <span className={styles.key}>
      <span className={styles[mark]} style={{ "--key": colour } as React.CSSProperties} aria-hidden="true" />
      {children}
    </span>
  );
}
