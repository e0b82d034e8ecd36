import type { EChartsOption } from "echarts/types/dist/shared";
import type { ReactNode } from "react";
import type { LivePicture } from "../_charts/pictures";
import { renderSvg } from "../_charts/render-svg";
import styles from "./drawing.module.css";
import { LiveDrawing } from "./live-drawing";

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
  over,
  live,
}: {
  option: (narrow: boolean) => EChartsOption;
  height: number;
  narrowHeight?: number;
  label: string;
  legend?: ReactNode;
  /** What stands over the picture and keeps to its horizontal axis, and how far that lies from the edges, in px. */
  over?: {
    content: (narrow: boolean) => ReactNode;
    inset: (narrow: boolean) => { left: number; right: number };
  };
  /** Where it lives on in the browser: by what name, and from what plain data. */
  live?: LivePicture;
}) {
  const wide = renderSvg(option(false), WIDE, height);
  const narrow = renderSvg(option(true), NARROW, narrowHeight);
  const drawn = (
    <>
      {/* biome-ignore lint/security/noDangerouslySetInnerHtml: drawn by the chart library from figures; texts are escaped there */}
      <div className={styles.wide} dangerouslySetInnerHTML={{ __html: wide }} />
      {/* biome-ignore lint/security/noDangerouslySetInnerHtml: as above */}
      <div className={styles.narrow} dangerouslySetInnerHTML={{ __html: narrow }} />
    </>
  );
  return (
    <figure className={styles.drawing}>
      {legend === undefined ? null : <figcaption className={styles.legend}>{legend}</figcaption>}
      {over === undefined ? null : (
        <>
          <div className={`${styles.wide} ${styles.over}`} style={axisInset(over.inset(false), WIDE)}>
            {over.content(false)}
          </div>
          <div className={`${styles.narrow} ${styles.over}`} style={axisInset(over.inset(true), NARROW)}>
            {over.content(true)}
          </div>
        </>
      )}
      {live === undefined ? (
        <div role="img" aria-label={label}>
          {drawn}
        </div>
      ) : (
        <LiveDrawing live={live} label={label} height={height} narrowHeight={narrowHeight}>
          {drawn}
        </LiveDrawing>
      )}
    </figure>
  );
}

/** As parts of the width, since the server's drawing is as wide as its place; in px for the one that the browser draws. */
function axisInset({ left, right }: { left: number; right: number }, width: number): React.CSSProperties {
  const part = (px: number) => `calc(100% * ${px} / ${width})`;
  return {
    "--left-part": part(left),
    "--right-part": part(right),
    "--left-px": `${left}px`,
    "--right-px": `${right}px`,
  } as React.CSSProperties;
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
