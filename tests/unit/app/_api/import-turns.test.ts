import { describe, expect, it } from "vitest";
import { createImportTurns } from "../../../../app/_api/import-turns";

/** Work that waits until it is let go on. */
function held() {
  let finish = () => {};
  const done = new Promise<void>((resolve) => {
    finish = resolve;
  });
  return { work: () => done, finish: () => finish() };
}

const tick = () => new Promise((resolve) => setTimeout(resolve, 0));

describe("createImportTurns", () => {
  it("lets imports of one site go on one after the other, in the order in which they came", async () => {
    const inTurn = createImportTurns({ running: 3, waitingOfSite: 9, waiting: 9 });
    const log: string[] = [];
    const work = (name: string) => async () => {
      log.push(`${name} begins`);
      await tick();
      log.push(`${name} ends`);
      return name;
    };
    expect(await Promise.all(["a", "b", "c"].map((name) => inTurn(1, work(name))))).toEqual(["a", "b", "c"]);
    expect(log).toEqual(["a begins", "a ends", "b begins", "b ends", "c begins", "c ends"]);
  });

  it("runs several sites at once, but no more than so many", async () => {
    const inTurn = createImportTurns({ running: 2, waitingOfSite: 9, waiting: 9 });
    const begun: number[] = [];
    const holds = [held(), held(), held()];
    const all = holds.map(({ work }, site) =>
      inTurn(site, () => {
        begun.push(site);
        return work();
      }),
    );
    await tick();
    expect(begun).toEqual([0, 1]);
    holds[1].finish();
    await tick();
    expect(begun).toEqual([0, 1, 2]);
    for (const { finish } of holds) finish();
    await Promise.all(all);
  });

  it("refuses what finds the line full, of its site or of all, and says when to come back", async () => {
    const inTurn = createImportTurns({ running: 1, waitingOfSite: 1, waiting: 2 });
    const first = held();
    const all = [inTurn(1, first.work), inTurn(1, async () => {})];
    await expect(inTurn(1, async () => {})).rejects.toMatchObject({
      code: "too-many",
      more: { retryAfterS: 2 },
    });
    all.push(inTurn(2, async () => {}));
    await expect(inTurn(3, async () => {})).rejects.toMatchObject({ code: "too-many" });
    first.finish();
    await Promise.all(all);
    await inTurn(1, async () => {});
  });

  it("goes on after work that failed", async () => {
    const inTurn = createImportTurns({ running: 1, waitingOfSite: 1, waiting: 1 });
    await expect(inTurn(1, () => Promise.reject(new Error("no")))).rejects.toThrow("no");
    expect(await inTurn(1, async () => "yes")).toBe("yes");
  });
});
