"use client";

import { Message } from "./_parts/message";

/** What went wrong, where the error says it; what can be done about it. */
export default function ErrorPage({
  error,
  retry,
}: {
  error: Error & { digest?: string };
  retry: () => void;
}) {
  const [mark, code, ...message] = (error.digest ?? "").split(";");
  const known = mark === "legroom";
  return (
    <div className="page" style={{ paddingBlock: "var(--s12)", display: "grid", gap: "var(--s6)" }}>
      <title>Not shown · Legroom</title>
      <h1>
        {known && code.startsWith("server") ? "The database doesn’t answer" : "This sheet can’t be shown"}
      </h1>
      <Message kind="error">
        <p>
          {known
            ? message.join(";")
            : `The program met an error that it wasn’t made for${error.digest ? ` (mark ${error.digest} in the server’s output)` : ""}. Your logs are kept as they came.`}
        </p>
      </Message>
      <div>
        <button type="button" className="primary" onClick={() => retry()}>
          Try again
        </button>
      </div>
    </div>
  );
}
