import { AppError } from "../../db/app-error";

/** So long nothing of a body may come. */
const SILENCE_MS = 120_000;

/**
 * The bytes of a request as they come, however long that takes, but given up where nothing comes for a while: the web
 * server's own limit is one for the whole request, and must let a large log on a slow line through (serve-uploads.js).
 *
 * @throws AppError cut-off after so long a silence; errors of the body go through
 */
export async function* heardBody(
  body: ReadableStream<Uint8Array>,
  silenceMs = SILENCE_MS,
): AsyncGenerator<Uint8Array> {
  const reader = body.getReader();
  let isOver = false;
  try {
    for (;;) {
      const { value, done } = await within(reader.read(), silenceMs);
      isOver = done;
      if (value === undefined) return;
      yield value;
    }
  } finally {
    // Whoever sends is told to stop; nobody waits for it.
    if (!isOver) reader.cancel().catch(() => undefined);
  }
}

async function within<T>(read: Promise<T>, silenceMs: number): Promise<T> {
  let timer: NodeJS.Timeout | undefined;
  const silence = new Promise<never>((_, reject) => {
    timer = setTimeout(() => {
      reject(
        new AppError(
          "cut-off",
          `Nothing of the log came for ${silenceMs / 1000} s before it was whole. Nothing of it was stored.`,
          {
            more: {
              where: "body",
              hint: "Send the whole log again: what is there already isn't taken twice.",
            },
          },
        ),
      );
    }, silenceMs);
  });
  try {
    return await Promise.race([read, silence]);
  } finally {
    clearTimeout(timer);
  }
}
