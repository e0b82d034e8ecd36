"use client";

import { useRouter } from "next/navigation";
import { type ReactNode, useRef, useState } from "react";
import { Button } from "react-aria-components/Button";
import { DropZone } from "react-aria-components/DropZone";
import { FileTrigger } from "react-aria-components/FileTrigger";
import { formatBytes } from "../_format/count";
import styles from "./drop-log.module.css";
import { Message } from "./message";

type Sending = { name: string; sentBytes: number; totalBytes: number };

/** Where a log is dropped or chosen: sends it and goes on to its sheet, where nothing is imported unasked. */
export function DropLog({ slug, children }: { slug: string; children: ReactNode }) {
  const router = useRouter();
  const [sending, setSending] = useState<Sending | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
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
    if (files.length === 1) router.push(address);
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
      <DropZone
        className={styles.zone}
        aria-label="Drop a log here"
        isDisabled={sending !== null}
        getDropOperation={() => "copy"}
        onDrop={async ({ items }) => {
          const files = await Promise.all(
            items.filter((item) => item.kind === "file").map((item) => item.getFile()),
          );
          if (files.length > 0) await send(files);
          else setProblem("That was no file. Drop a CSV file.");
        }}
      >
        {sending === null ? (
          <>
            {children}
            <FileTrigger allowsMultiple onSelect={(list) => list !== null && send([...list])}>
              <Button className={`button ${styles.choose}`}>Choose a log</Button>
            </FileTrigger>
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
      </DropZone>
      {problem === null ? null : (
        <Message kind="error" title="Not received.">
          <p>{problem}</p>
        </Message>
      )}
    </div>
  );
}
