import { describe, expect, it } from "vitest";
import { heardBody } from "../../../../app/_guard/heard-body";

const sleep = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

/** A body of these pieces; a number is a silence of so many ms. */
function body(steps: readonly (string | number | Error)[]) {
  const cancelled: unknown[] = [];
  const rest = [...steps];
  const stream = new ReadableStream<Uint8Array>({
    async pull(controller) {
      for (let step = rest.shift(); ; step = rest.shift()) {
        if (step === undefined) return controller.close();
        if (step instanceof Error) return controller.error(step);
        if (typeof step === "string") return controller.enqueue(Buffer.from(step));
        await sleep(step);
      }
    },
    cancel(reason) {
      cancelled.push(reason);
    },
  });
  return { stream, cancelled };
}

async function textOf(bytes: AsyncIterable<Uint8Array>): Promise<string> {
  const parts: Uint8Array[] = [];
  for await (const part of bytes) parts.push(part);
  return Buffer.concat(parts).toString();
}

describe("heardBody", () => {
  it("gives everything, however often it is silent for a while", async () => {
    const { stream, cancelled } = body(["a", 60, "b", 60, "c", 60, "d"]);
    expect(await textOf(heardBody(stream, 150))).toBe("abcd");
    expect(cancelled).toEqual([]);
    expect(await textOf(heardBody(body([]).stream, 150))).toBe("");
  });

  it("gives a body up that says nothing any more, and tells whoever sends it", async () => {
    const { stream, cancelled } = body(["a", 5000, "b"]);
    await expect(textOf(heardBody(stream, 100))).rejects.toMatchObject({
      code: "cut-off",
      message: "Nothing of the log came for 0.1 s before it was whole. Nothing of it was stored.",
    });
    expect(cancelled).toHaveLength(1);
  });

  it("doesn't count the time that its reader takes", async () => {
    let text = "";
    for await (const piece of heardBody(body(["a", "b", "c"]).stream, 50)) {
      await sleep(120);
      text += Buffer.from(piece).toString();
    }
    expect(text).toBe("abc");
  });

  it("lets errors of the body through, and stops it where its reader stops", async () => {
    await expect(textOf(heardBody(body(["a", new Error("aborted")]).stream, 1000))).rejects.toThrow(
      "aborted",
    );
    const { stream, cancelled } = body(["a", "b", "c", "d", "e"]);
    for await (const _ of heardBody(stream, 1000)) break;
    expect(cancelled).toHaveLength(1);
  });
});
