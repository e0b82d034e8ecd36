import { expect, it } from "vitest";
import { nearLimitOrder } from "../../../src/analysis/near-limit-order";

it("near-limit intervals stand by their beginning, equal ones legs first", () => {
  const at = (fromMs: number, quantity: "L1" | "L2" | "total" | "pass-through") => ({ fromMs, quantity });
  const list = [at(5, "pass-through"), at(5, "total"), at(5, "L2"), at(5, "L1"), at(1, "pass-through")];
  expect(list.sort(nearLimitOrder).map((one) => one.quantity)).toEqual([
    "pass-through",
    "L1",
    "L2",
    "total",
    "pass-through",
  ]);
});
