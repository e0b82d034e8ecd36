"use client";

import { useRouter } from "next/navigation";
import {
  type KeyboardEvent,
  type PointerEvent,
  type ReactNode,
  useCallback,
  useEffect,
  useId,
  useRef,
  useState,
  useSyncExternalStore,
} from "react";
import type { Picture } from "../_charts/picture";
import { type LivePicture, PICTURES } from "../_charts/pictures";
import styles from "./live-drawing.module.css";

/** Width in px from which the wide drawing stands, as in drawing.module.css. */
const WIDE_FROM = 576;
/** A pointer that went less far, in px, has not drawn over anything. */
const LEAST_DRAG = 6;
/** Stops that a page key goes over, as a part of all of them. */
const PAGE = 0.1;

/** What is fetched when a person first wants it. */
type Engine = { init: typeof import("../_charts/echarts").init; picture: Picture<unknown> };

/** Places on the horizontal axis as px and back, of the chart that is drawn. */
type Axis = { toPx: (at: number) => number; toAxis: (px: number) => number };

/**
 * Takes over the drawing that the server made, once a person points at it or reaches it by the keyboard: the chart is
 * drawn at the place's own width, a cursor goes along its axis with what it shows as text, and a stretch can be drawn
 * over. Until then, and without scripts, the server's drawing stands. The wheel is left to the page; nothing moves by
 * itself.
 */
export function LiveDrawing({
  live,
  label,
  height,
  narrowHeight,
  children,
}: {
  live: LivePicture;
  label: string;
  height: number;
  narrowHeight: number;
  /** The server's drawing. */
  children: ReactNode;
}) {
  const router = useRouter();
  const hasScripts = useSyncExternalStore(unchanging, yes, no);
  const hintId = useId();
  const stage = useRef<HTMLDivElement>(null);
  const place = useRef<HTMLDivElement>(null);
  const [wanted, setWanted] = useState(false);
  const [engine, setEngine] = useState<Engine | null>(null);
  const [axis, setAxis] = useState<Axis | null>(null);
  /** Index of the stop under the cursor. */
  const [stop, setStop] = useState<number | null>(null);
  /** A stretch being drawn over, in values of the axis. */
  const [span, setSpan] = useState<{ from: number; to: number } | null>(null);
  const drag = useRef<{ px: number; moved: boolean } | null>(null);
  const [byKeys, setByKeys] = useState(false);
  const { picture: name, data } = live;

  useEffect(() => {
    if (!wanted) return;
    let gone = false;
    Promise.all([import("../_charts/echarts"), PICTURES[name]()]).then(
      ([{ init }, picture]) => {
        if (!gone) setEngine({ init, picture: picture as Picture<unknown> });
      },
      // Without the chart's script, as when it can't be reached, the server's drawing stays.
      () => undefined,
    );
    return () => {
      gone = true;
    };
  }, [wanted, name]);

  useEffect(() => {
    const [onto, around] = [place.current, stage.current];
    if (engine === null || onto === null || around === null) return;
    let drawnWidth = 0;
    const { init, picture } = engine;
    const chart = init(onto, null, { renderer: "svg", width: 1, height: 1 });
    const draw = () => {
      const width = Math.round(onto.clientWidth);
      if (width === 0 || width === drawnWidth) return;
      drawnWidth = width;
      const narrow = around.clientWidth < WIDE_FROM;
      chart.resize({ width, height: narrow ? narrowHeight : height });
      chart.setOption(picture.option(data, narrow), { notMerge: true });
      setAxis({
        toPx: (at) => Number(chart.convertToPixel({ xAxisIndex: 0 }, at)),
        toAxis: (px) => Number(chart.convertFromPixel({ xAxisIndex: 0 }, px)),
      });
    };
    draw();
    const observer = new ResizeObserver(draw);
    observer.observe(around);
    return () => {
      observer.disconnect();
      chart.dispose();
      setAxis(null);
    };
  }, [engine, data, height, narrowHeight]);

  // Another stretch is another drawing: what was under the cursor isn't there any more.
  // biome-ignore lint/correctness/useExhaustiveDependencies: the data is what changes
  useEffect(() => {
    setStop(null);
    setSpan(null);
  }, [data]);

  const want = useCallback(() => setWanted(true), []);
  const stops = engine === null ? NONE : engine.picture.stops(data);
  const here = stop === null || stops.length === 0 ? null : Math.min(stop, stops.length - 1);
  const readout = engine === null || here === null ? null : engine.picture.readout(data, stops[here]);

  function go(href: string | null | undefined): void {
    if (href) router.push(href, { scroll: false });
  }
  function pointed(event: PointerEvent): number {
    return event.clientX - event.currentTarget.getBoundingClientRect().left;
  }
  function onPointerDown(event: PointerEvent): void {
    want();
    if (event.button !== 0 || axis === null) return;
    drag.current = { px: pointed(event), moved: false };
    event.currentTarget.setPointerCapture(event.pointerId);
    setSpan(null);
  }
  function onPointerMove(event: PointerEvent): void {
    if (engine === null || axis === null) return;
    const px = pointed(event);
    setByKeys(false);
    setStop(nearest(stops, axis.toAxis(px)));
    if (drag.current === null || engine.picture.select === undefined) return;
    if (Math.abs(px - drag.current.px) >= LEAST_DRAG) drag.current.moved = true;
    if (drag.current.moved) setSpan({ from: axis.toAxis(drag.current.px), to: axis.toAxis(px) });
  }
  function onPointerUp(): void {
    const was = drag.current;
    drag.current = null;
    if (engine === null || was === null) return;
    if (was.moved && span !== null) {
      go(engine.picture.select?.(data, span.from, span.to));
      setSpan(null);
    } else if (!was.moved && here !== null) go(engine.picture.open?.(data, stops[here]));
  }
  function onPointerCancel(): void {
    drag.current = null;
    setSpan(null);
  }
  function onKeyDown(event: KeyboardEvent): void {
    if (engine === null || stops.length === 0 || event.ctrlKey || event.metaKey || event.altKey) return;
    const last = stops.length - 1;
    const page = Math.max(1, Math.round(last * PAGE));
    const at = here ?? 0;
    const to = {
      ArrowLeft: at - 1,
      ArrowDown: at - 1,
      ArrowRight: at + 1,
      ArrowUp: at + 1,
      PageDown: at - page,
      PageUp: at + page,
      Home: 0,
      End: last,
    }[event.key];
    setByKeys(true);
    if (to !== undefined) {
      event.preventDefault();
      const next = Math.min(last, Math.max(0, here === null && event.key.startsWith("Arrow") ? at : to));
      setStop(next);
      if (!event.shiftKey || engine.picture.select === undefined) setSpan(null);
      else setSpan({ from: span?.from ?? stops[at], to: stops[next] });
    } else if (event.key === "Escape") setSpan(null);
    else if (event.key === "Enter" && here !== null) {
      event.preventDefault();
      const { picture } = engine;
      if (span !== null) go(picture.select?.(data, span.from, span.to));
      else if (picture.open !== undefined) go(picture.open(data, stops[here]));
      else {
        const reach = (stops[last] - stops[0]) / 8;
        go(picture.select?.(data, stops[here] - reach, stops[here] + reach));
      }
    }
  }
  const px = (at: number) => axis?.toPx(at) ?? 0;
  return (
    <>
      <div ref={stage} className={styles.stage} data-live={axis === null ? undefined : ""}>
        <div role="img" aria-label={label}>
          <div className={axis === null ? undefined : styles.taken}>{children}</div>
          <div ref={place} className={styles.place} />
        </div>
        {hasScripts ? (
          <div
            role="slider"
            tabIndex={0}
            className={styles.plane}
            aria-label={`Cursor over the picture: ${label}`}
            aria-describedby={hintId}
            aria-valuemin={0}
            aria-valuemax={Math.max(0, stops.length - 1)}
            aria-valuenow={here ?? 0}
            aria-valuetext={readout?.where ?? "not placed yet"}
            onPointerEnter={want}
            onPointerDown={onPointerDown}
            onPointerMove={onPointerMove}
            onPointerUp={onPointerUp}
            onPointerCancel={onPointerCancel}
            onPointerLeave={() => drag.current === null && !byKeys && setStop(null)}
            onFocus={want}
            onKeyDown={onKeyDown}
          >
            {axis === null || here === null ? null : (
              <span className={styles.cursor} style={{ left: px(stops[here]) }} />
            )}
            {axis === null || span === null ? null : (
              <span
                className={styles.span}
                style={{
                  left: Math.min(px(span.from), px(span.to)),
                  width: Math.abs(px(span.to) - px(span.from)),
                }}
              />
            )}
          </div>
        ) : null}
      </div>
      <p className={`${styles.readout} no-print`} data-picture={name} aria-live={byKeys ? "polite" : "off"}>
        {readout?.what ?? ""}
      </p>
      {hasScripts ? (
        <p id={hintId} className="visually-hidden">
          Arrow keys move the cursor, Home and End go to the ends.
          {engine === null || engine.picture.select !== undefined
            ? " Where a stretch can be opened, Shift with an arrow key marks it and Enter opens it."
            : ""}
        </p>
      ) : null}
    </>
  );
}

const NONE: readonly number[] = [];
const unchanging = () => () => undefined;
const yes = () => true;
const no = () => false;

/** Place of the stop that lies nearest. */
function nearest(stops: readonly number[], at: number): number | null {
  if (stops.length === 0) return null;
  let low = 0;
  let high = stops.length - 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (stops[middle] < at) low = middle + 1;
    else high = middle;
  }
  return low > 0 && at - stops[low - 1] < stops[low] - at ? low - 1 : low;
}
