import { ERROR_CATALOGUE } from "./error-catalogue";
import type { Refusal } from "./refusal";

/**
 * An archive that can't be read on, or not any further. A source throws it in the middle of its bytes; `readLog` makes
 * a refusal of it.
 */
export class UnreadableContainer extends Error {
  readonly refusal: Refusal;
  constructor(code: Refusal["code"], name: string, what: string, options?: ErrorOptions) {
    super(what, options);
    this.refusal = { code, what, where: name, hint: ERROR_CATALOGUE[code].hint };
  }
}
