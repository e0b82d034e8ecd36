"use client";

import { useRouter } from "next/navigation";
import { type ReactNode, useRef, useState } from "react";
import { formatBytes } from "../_format/count";
import styles from "./drop-log.module.css";
import { Message } from "./message";

type Sending = { name: string; sentBytes: number; totalBytes: number };

/** Where a log is dropped or chosen: sends it and goes on to its sheet, where nothing is imported unasked. */
export function DropLog({ slug, children }: { slug: string; children: ReactNode }) {
  const router = useRouter();
  const [sending, setSending] = useState<Sending | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const [isOver, setIsOver] = useState(false);
  const request = useRef<XMLHttpRequest | null>(null);

  async function send(files: readonly File[]) {
    setProblem(null);
    let address: string | null = null;
    for (const file of files) {
      const outcome = await sendFile(file);
      if (outcome.problem !== null) {
        setProblem(outcome.problem);
        break;
      }
      address = outcome.address;
    }
    setSending(null);
    request.current = null;
    if (address === null) return;
    // An archive of several logs leads back to this list.
    if (files.length === 1 && !address.endsWith("/logs")) router.push(address);
    else router.refresh();
  }

  function sendFile(
    file: File,
  ): Promise<{ address: string; problem: null } | { address: null; problem: string }> {
    return new Promise((resolve) => {
      const fail = (message: string) => resolve({ address: null, problem: `${file.name}: ${message}` });
      const xhr = new XMLHttpRequest();
      request.current = xhr;
      setSending({ name: file.name, sentBytes: 0, totalBytes: file.size });
      // Only this kind of request tells how much has been sent.
      xhr.upload.onprogress = ({ loaded }) =>
        setSending({ name: file.name, sentBytes: loaded, totalBytes: file.size });
      xhr.onload = () => {
        if (xhr.status === 200) resolve({ address: JSON.parse(xhr.responseText).address, problem: null });
        else fail(xhr.responseText.trim() || `the server answered ${xhr.status}.`);
      };
      xhr.onerror = () =>
        fail("the server couldn’t be reached, or the file couldn’t be read. Nothing was stored.");
      xhr.onabort = () => fail("stopped; nothing of it was stored.");
      xhr.open("POST", `/sites/${slug}/logs/upload?name=${encodeURIComponent(file.name)}`);
      xhr.setRequestHeader("content-type", "application/octet-stream");
      xhr.send(file);
    });
  }

  return (
    <div className={styles.frame}>
      {/* biome-ignore lint/a11y/noStaticElementInteractions: dropping is a second way beside the file input in it */}
      <div
        className={styles.zone}
        data-over={isOver || undefined}
        onDragOver={(event) => {
          event.preventDefault();
          setIsOver(sending === null);
        }}
        onDragLeave={() => setIsOver(false)}
        onDrop={(event) => {
          event.preventDefault();
          setIsOver(false);
          const files = [...event.dataTransfer.files];
          if (sending !== null) return;
          if (files.length > 0) void send(files);
          else setProblem("That was no file. Drop a CSV file.");
        }}
      >
        {sending === null ? (
          <>
            {children}
            <label className={styles.choose}>
              <span className="visually-hidden">Choose a log</span>
              <input
                type="file"
                multiple
                accept=".csv,.txt,.tsv,.gz,.zip,text/csv,text/plain,application/gzip,application/zip"
                onChange={(event) => {
                  const files = [...(event.target.files ?? [])];
                  event.target.value = "";
                  if (files.length > 0) void send(files);
                }}
              />
            </label>
          </>
        ) : (
          <div className={styles.sending} role="status">
            <p>
              Sending {sending.name}: {formatBytes(sending.sentBytes)} of {formatBytes(sending.totalBytes)}
            </p>
            <progress
              value={sending.sentBytes}
              max={Math.max(1, sending.totalBytes)}
              aria-label={`Sending ${sending.name}`}
            />
            <button type="button" onClick={() => request.current?.abort()}>
              Stop
            </button>
          </div>
        )}
      </div>
      {problem === null ? null : (
        <Message kind="error" title="Not received.">
          <p>{problem}</p>
        </Message>
      )}
    </div>
  );
}
