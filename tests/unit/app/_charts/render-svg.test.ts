import { expect, test } from "vitest";
import { renderSvg } from "../../../../app/_charts/render-svg";

test("a text in a drawing stays a text, whatever markup it holds", () => {
  const text = '<script>alert(1)</script>"><img src=x onerror=alert(2)>&amp;';
  const svg = renderSvg(
    {
      animation: false,
      xAxis: { type: "category", data: [text] },
      yAxis: { type: "value", name: text },
      series: [{ type: "bar", name: text, data: [1], label: { show: true, formatter: text } }],
    },
    600,
    300,
  );
  expect(svg).not.toMatch(/<script|<img|onerror=alert\(2\)>/);
  expect(svg).toContain("&lt;script&gt;alert(1)&lt;/script&gt;");
});
