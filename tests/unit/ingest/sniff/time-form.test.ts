import { describe, expect, it } from "vitest";
import { sniffTimeForm } from "../../../../src/ingest/sniff/time-form";

describe("sniffTimeForm", () => {
  it.each([
    [["2026-05-01T00:00:00Z", "2026-05-01T00:01:00Z"], "auto"],
    [["2026-05-01 00:00", "2026-05-01 00:01"], "auto"],
    [["1749535200", "1749535201"], "epoch-s"],
    [["1749535200000", "1749535201000"], "epoch-ms"],
    [["13/05/2026 00:00:00", "13/05/2026 00:01:00"], "dd/MM/yyyy HH:mm:ss"],
    [["5/13/2026 12:00 AM", "5/13/2026 1:00 PM"], "M/d/yyyy hh:mm a"],
    [["31.12.26 23:59", "01.01.27 00:00"], "dd.MM.yy HH:mm"],
    [["5 May 2026 00:00", "5 May 2026 00:01"], "d MMM yyyy HH:mm"],
    [["May 5, 2026 00:00", "May 5, 2026 00:01"], "MMM d, yyyy HH:mm"],
  ])("settles %j as %s", (texts, format) => {
    expect(sniffTimeForm(texts)).toMatchObject({ format, order: "settled" });
  });

  it("leaves day and month open where no text shows which comes first", () => {
    const form = sniffTimeForm(["01/02/2026 00:00", "01/02/2026 00:01"]);
    expect(form).toMatchObject({ format: null, order: "open" });
    expect(form.candidates).toEqual(["dd/MM/yyyy HH:mm", "MM/dd/yyyy HH:mm"]);
  });

  it("settles the order by the days that follow one another", () => {
    const texts = Array.from({ length: 6 }, (_, day) => `0${day + 1}/02/2026 00:00`);
    expect(sniffTimeForm(texts)).toMatchObject({ format: "dd/MM/yyyy HH:mm", order: "settled" });
  });

  it("leaves the order open where two days only could show it", () => {
    const texts = ["1/7/2007 23:58:00", "1/7/2007 23:59:00", "2/7/2007 00:00:00", "2/7/2007 00:01:00"];
    expect(sniffTimeForm(texts)).toMatchObject({ format: null, order: "open" });
  });

  it("finds no form in figures, words and nothing", () => {
    for (const texts of [["182.1", "183.2"], ["own", "street"], [], ["12:30", "12:31"]]) {
      expect(sniffTimeForm(texts)).toMatchObject({ format: null, order: "settled" });
    }
  });
});
