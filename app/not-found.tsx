import Link from "next/link";

export const metadata = { title: "Not found" };

export default function NotFound() {
  return (
    <div className="page" style={{ paddingBlock: "var(--s12)", display: "grid", gap: "var(--s4)" }}>
      <h1>There is no such sheet</h1>
      <p>
        The site, month, log or transfer of this address isn’t here. It may have another name now, or a log
        may have been imported that changed the results.
      </p>
      <p>
        <Link href="/">All sites</Link>
      </p>
    </div>
  );
}
