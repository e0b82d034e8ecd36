import { describe, expect, it } from "vitest";
import { sniffTimeForm } from "../../../../src/ingest/sniff/time-form";

describe("sniffTimeForm", () => {
  it.each([
    [["2026-05-01T00:00:00Z", "2026-05-01T00:01:00Z"], "auto"],
    [["2026-05-01 00:00", "2026-05-01 00:01"], "auto"],
    [["1749535200", "1749535201"], "epoch-s"],
    [["1749535200000", "1749535201000"], "epoch-ms"],
    [["13/05/2026 00:00:00", "13/05/2026 00:01:00"], "dd/MM/yyyy HH:mm:ss"],
    [["5/13/2026 12:00 AM", "5/13/2026 1:00 PM"], "M/d/yyyy h:mm a"],
    [["31.12.26 23:59", "01.01.27 00:00"], "dd.MM.yy HH:mm"],
    [["5 May 2026 00:00", "5 May 2026 00:01"], "d MMM yyyy HH:mm"],
    [["May 5, 2026 00:00", "May 5, 2026 00:01"], "MMM d, yyyy HH:mm"],
    [["1777622400.5", "1777622401.5"], "epoch-s"],
    [["1777622400000000", "1777622401000000"], "epoch-us"],
    [["1.7776224E9", "1.7776225E9"], "epoch-s"],
    [["46143.52083", "46143.52153"], "spreadsheet-day"],
    [["46143,5", "46143,52083"], "spreadsheet-day"],
    [["20260501T120000", "20260501T120100"], "auto"],
    [["20260501 120000", "20260501 120100"], "auto"],
    [["20260501120000", "20260501120100"], "yyyyMMddHHmmss"],
    [["2026-05-01 12:00:00,250", "2026-05-01 12:00:00,500"], "auto"],
    [["2026-05-01T12:00-06:00[America/Denver]", "2026-05-01T12:01-06:00[America/Denver]"], "auto"],
    [["2026-05-01 12:00:00 MDT", "2026-05-01 12:01:00 MDT"], "yyyy-MM-dd HH:mm:ss zzz"],
    [["2026-05-01 12:00:00 PM", "2026-05-01 01:00:00 PM"], "yyyy-MM-dd hh:mm:ss a"],
    [["Fri 05/15/2026 12:00", "Fri 05/15/2026 12:01"], "EEE MM/dd/yyyy HH:mm"],
    [["Friday, May 1, 2026 1:00 PM", "Friday, May 1, 2026 1:01 PM"], "EEE, MMM d, yyyy h:mm a"],
    [["Fr. 15.05.2026 12:00", "Fr. 15.05.2026 12:01"], "EEE dd.MM.yyyy HH:mm"],
    [["1 de mayo de 2026 12:00", "1 de mayo de 2026 12:01"], "d 'de' MMM 'de' yyyy HH:mm"],
    [["1. Mai 2026 12:00", "1. Mai 2026 12:01"], "d. MMM yyyy HH:mm"],
    [["01-May-2026 12:00:00.5", "01-May-2026 12:00:01"], "d-MMM-yyyy HH:mm:ss.S"],
    [["1 févr. 2026 12:00", "1 mars 2026 12:00"], "d MMM yyyy HH:mm"],
    [["15/05/2026 12:00 p. m.", "15/05/2026 1:00 p. m."], "dd/MM/yyyy h:mm a"],
    [["15/05/2026, 12:00:00", "15/05/2026, 12:01:00"], "dd/MM/yyyy, HH:mm:ss"],
    [["15.05.2026 12.30", "15.05.2026 12.31"], "dd.MM.yyyy HH.mm"],
    [["15/05/2026 12h30", "15/05/2026 12h31"], "dd/MM/yyyy HH'h'mm"],
    [["15/05/2026 - 12:30", "15/05/2026 - 12:31"], "dd/MM/yyyy - HH:mm"],
    [["15/May/2026:12:00:00 -0600", "15/May/2026:12:00:01 -0600"], "d/MMM/yyyy:HH:mm:ss XX"],
    [["12:00:00 15/05/2026", "12:00:01 15/05/2026"], "HH:mm:ss dd/MM/yyyy"],
    [["2026 5 15 0 15", "2026 5 15 0 30"], "yyyy M d H mm"],
    [["15.05.2026 12:00 +02:00", "15.05.2026 12:01 +02:00"], "dd.MM.yyyy HH:mm XX"],
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

  it("settles the order by one midnight: read the wrong way round it would be a month long", () => {
    const texts = ["1/7/2007 23:58:00", "1/7/2007 23:59:00", "2/7/2007 00:00:00", "2/7/2007 00:01:00"];
    expect(sniffTimeForm(texts)).toMatchObject({ format: "d/M/yyyy HH:mm:ss", order: "settled" });
    expect(sniffTimeForm(texts.toReversed())).toMatchObject({ format: "d/M/yyyy HH:mm:ss" });
  });

  it("leaves the order open where rows of two days don't go on from one another", () => {
    const texts = ["1/7/2007 10:00:00", "1/7/2007 10:01:00", "2/7/2007 03:00:00", "2/7/2007 03:01:00"];
    expect(sniffTimeForm(texts)).toMatchObject({ format: null, order: "open" });
  });

  it("leaves it open while day and month are the same", () => {
    expect(sniffTimeForm(["05/05/2026 10:00", "05/05/2026 10:01"])).toMatchObject({ order: "open" });
  });

  it("settles the order by what can't be: a day in the future", () => {
    const known = { latestMs: Date.UTC(2026, 10, 25) };
    const texts = ["05/12/2026 10:00", "05/12/2026 10:01"];
    expect(sniffTimeForm(texts, known)).toMatchObject({ format: "MM/dd/yyyy HH:mm", order: "settled" });
  });

  it("settles the order by a day that the log's name states", () => {
    const known = { latestMs: Date.UTC(2026, 10, 25), days: ["2026-05-01"] };
    expect(sniffTimeForm(["05/01/2026 10:00", "05/01/2026 10:01"], known)).toMatchObject({
      format: "MM/dd/yyyy HH:mm",
    });
    expect(sniffTimeForm(["01/05/2026 10:00", "01/05/2026 10:01"], known)).toMatchObject({
      format: "dd/MM/yyyy HH:mm",
    });
  });

  it("tells a year of two digits at the front from one at the end", () => {
    const known = { latestMs: Date.UTC(2026, 10, 25) };
    expect(sniffTimeForm(["26-05-31 23:59", "26-06-01 00:00"], known)).toMatchObject({
      format: "yy-MM-dd HH:mm",
    });
    expect(sniffTimeForm(["26-05-01 23:58", "26-05-01 23:59"], known)).toMatchObject({
      format: "yy-MM-dd HH:mm",
    });
    expect(sniffTimeForm(["31.05.26 23:59", "01.06.26 00:00"], known)).toMatchObject({
      format: "dd.MM.yy HH:mm",
    });
  });

  it("says where hours of twelve stand without am or pm", () => {
    const texts = ["13.5.2026 11:59", "13.5.2026 12:59", "13.5.2026 1:00", "13.5.2026 2:00"];
    expect(sniffTimeForm(texts)).toMatchObject({ format: null, order: "half" });
  });

  it("says where numbers are cut so short that rows have the same time", () => {
    expect(sniffTimeForm(["1.77762E+09", "1.77762E+09", "1.77762E+09", "1.77763E+09"])).toMatchObject({
      order: "cut",
    });
    expect(sniffTimeForm(["1.7776212E+09", "1.7776213E+09"])).toMatchObject({ format: "epoch-s" });
  });

  it("finds no form in figures, words and nothing", () => {
    for (const texts of [["182.1", "183.2"], ["own", "street"], [], ["12:30", "12:31"]]) {
      expect(sniffTimeForm(texts)).toMatchObject({ format: null, order: "settled" });
    }
  });
});
