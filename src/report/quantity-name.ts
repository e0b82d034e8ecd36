/** A limited quantity in words: "L1", "the total", "the pass-through". */
export function quantityName(quantity: string): string {
  if (quantity === "total") return "the total";
  if (quantity === "pass-through") return "the pass-through";
  return quantity;
}
