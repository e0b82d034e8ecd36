import { headers } from "next/headers";
import { AppError } from "../../db/app-error";
import { checkRequest } from "./check-request";

/** The check of Host and Origin from inside a server action, so that it doesn't hang on the proxy alone. */
export async function checkAction(): Promise<void> {
  const refusal = checkRequest({ method: "POST", headers: await headers() });
  if (refusal !== null) throw new AppError("bad-input", refusal.message);
}
