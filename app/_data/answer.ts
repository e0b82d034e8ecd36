import { AppError } from "../../db/app-error";

/** A route handler's answer: what a person can act on becomes its HTTP status and its message as text. */
export async function answer(respond: () => Promise<Response>): Promise<Response> {
  try {
    return await respond();
  } catch (error) {
    if (!(error instanceof AppError)) throw error;
    return new Response(`${error.message}\n`, {
      status: error.status,
      headers: { "content-type": "text/plain; charset=utf-8" },
    });
  }
}
