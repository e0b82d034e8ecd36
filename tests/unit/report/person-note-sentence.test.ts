import { describe, expect, it } from "vitest";
import { clockOf } from "../../../src/report/format";
import { personNoteSentence } from "../../../src/report/person-note-sentence";

const clock = clockOf("America/Denver");
const EVENT = { atMs: Date.UTC(2026, 4, 15, 0, 2, 33), date: "2026-05-14", isChange: false, stands: true };

describe("a note of a person on one line", () => {
  it("stands after its event, on the site's clock", () => {
    expect(personNoteSentence({ ...EVENT, kind: "transfer", text: "The kiln was on." }, clock)).toBe(
      "Transfer of 14 May, 18:02:33: The kiln was on.",
    );
  });

  it("says that the event isn't found any more, and that something was changed then", () => {
    expect(
      personNoteSentence(
        { ...EVENT, kind: "dropout", isChange: true, stands: false, text: "Pulled the plug." },
        clock,
      ),
    ).toBe("Dropout of 14 May, 18:02:33 (change; not found in the log any more): Pulled the plug.");
  });

  it("stands after its day, its lines one after the other", () => {
    expect(
      personNoteSentence({ ...EVENT, kind: "day", atMs: null, text: "Two things:\n  one\n\ntwo" }, clock),
    ).toBe("14 May: Two things: / one / two");
  });
});
