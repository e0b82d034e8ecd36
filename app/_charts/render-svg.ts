import type { EChartsOption } from "echarts/types/dist/shared";
import { init } from "./echarts";

/** Draws an option as SVG text, on the server: what print and a browser without scripts get. */
export function renderSvg(option: EChartsOption, width: number, height: number): string {
  const chart = init(null, null, { renderer: "svg", ssr: true, width, height });
  try {
    chart.setOption(option);
    return tidy(chart.renderToSVGString());
  } finally {
    chart.dispose();
  }
}

/** Takes out what only moves under a pointer, and leaves the type to the page. */
function tidy(svg: string): string {
  return svg
    .replace(/<style\s*>[\s\S]*?<\/style>/g, "")
    .replace(/ (?:class="zr\d+-cls-\d+"|ecmeta_\w+="[^"]*"|pointer-events="visible")/g, "")
    .replaceAll("font-family:sans-serif;", "")
    .replace(/style="font: normal (\w+) (\d+)px sans-serif"/g, 'style="font-weight:$1;font-size:$2px"')
    .replace(/^<svg width="\d+" height="\d+"/, "<svg");
}
