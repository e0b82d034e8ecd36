import type { Metadata } from "next";
import Link from "next/link";
import type { EvidenceOf } from "../../../../../src/analysis/evidence";
import { ratingsAt, ratingsPeriods } from "../../../../../src/analysis/ratings-in-force";
import { REQUIRED_BY_TAG } from "../../../../../src/analysis/required-evidence";
import type { Evidence, Transfer } from "../../../../../src/analysis/results";
import { acrossTransferSentences } from "../../../../../src/report/across-transfer-sentence";
import { avoidableSentence } from "../../../../../src/report/avoidable-sentence";
import { certaintyName, otherCauses } from "../../../../../src/report/cause-words";
import { clockOf } from "../../../../../src/report/format";
import { plainEvidence } from "../../../../../src/report/plain-evidence";
import { stayRemedy, type TransferStay } from "../../../../../src/report/stay-remedy";
import { transferRemedy } from "../../../../../src/report/transfer-remedy";
import { transferSentence } from "../../../../../src/report/transfer-sentence";
import { aroundTransferHeight, aroundTransferOption } from "../../../../_charts/around-transfer";
import { transferStretch } from "../../../../_charts/transfer-stretch";
import { settingsOf } from "../../../../_data/settings-of";
import { sitePage } from "../../../../_data/site-page";
import { AROUND_MINUTES, type TransferPage, transferPage } from "../../../../_data/transfer-page";
import { type AroundTransfer, transferStay } from "../../../../_data/transfer-stay";
import { dayAtHref } from "../../../../_format/day-address";
import { formatDuration } from "../../../../_format/duration";
import { keepUnits } from "../../../../_format/keep-units";
import { formatInstant, localTime } from "../../../../_format/local-time";
import { formatQuantity } from "../../../../_format/number";
import { parseTransferId, transferId } from "../../../../_format/transfer-id";
import { causeTitle, TAG_WORDS } from "../../../../_format/words";
import { Behind } from "../../../../_parts/behind";
import { Drawing, Key } from "../../../../_parts/drawing";
import { Entry } from "../../../../_parts/entry";
import { Freshness } from "../../../../_parts/freshness";
import { Empty } from "../../../../_parts/message";
import { PersonNotes } from "../../../../_parts/person-notes";
import { Sheet } from "../../../../_parts/sheet";
import { SettingsMeant } from "../../../../_parts/statements";
import { samplesTable } from "../../../../_tables/samples";
import styles from "./transfer.module.css";

type Props = PageProps<"/sites/[site]/transfers/[transfer]">;

export async function generateMetadata({ params }: Props): Promise<Metadata> {
  const { site: slug, transfer } = await params;
  const atMs = parseTransferId(decodeURIComponent(transfer));
  if (atMs === null) return { title: "Not found" };
  const { site } = await sitePage(slug);
  return { title: `Transfer of ${formatInstant(atMs, site.timezone)}` };
}

const OF_TAGS: ReadonlySet<string> = new Set([...Object.values(REQUIRED_BY_TAG).flat(2), "allowance-hidden"]);

/** Evidence that has a place of its own on the sheet, apart from the list. */
const APART: ReadonlySet<string> = new Set(["interval-hides", "without-grid", ...OF_TAGS]);

export default async function TransferSheet({ params, searchParams }: Props) {
  const { site: slug, transfer: id } = await params;
  const asked = Number((await searchParams).around);
  const minutes = AROUND_MINUTES.find((some) => some === asked) ?? AROUND_MINUTES[0];
  const page = await transferPage(slug, id, minutes);
  const { site, monthHref, transfer, beforeMs, afterMs, notes } = page;
  const around = await transferStay(site, transfer);
  const clock = clockOf(site.timezone);
  const at = localTime(transfer.atMs, site.timezone);
  const ratings = ratingsAt(ratingsPeriods(site.site.ratings, clock), transfer.atMs);
  const base = `/sites/${site.slug}/transfers`;
  return (
    <Sheet
      slug={site.slug}
      siteName={site.name}
      monthHref={monthHref === null ? null : `/sites/${site.slug}/${at.month}`}
      here="transfers"
      title={`Transfer of ${at.day}, ${at.clockWithSeconds}`}
      lead={<p>{keepUnits(transferSentence(transfer, clock))}</p>}
      fields={[
        { label: "Cause", value: `${causeTitle(transfer.cause)}, ${certaintyName(transfer.certainty)}` },
        {
          label: "Over to",
          value: `the ${transfer.to}, ${transfer.lowerBound ? "at least " : ""}${formatDuration(transfer.onUtilityS)}`,
        },
        {
          label: "Back",
          value:
            transfer.returnedAtMs === null
              ? "not in the log"
              : formatInstant(transfer.returnedAtMs, site.timezone),
        },
        ...batteryFields(transfer),
        { label: "Times", value: `${site.timezone} (${at.zone})` },
        {
          label: "Results",
          value: site.resultsRevision === null ? "none" : `revision ${site.resultsRevision}`,
        },
      ]}
    >
      <Freshness slug={site.slug} timezone={site.timezone} revision={site} />
      <Around page={page} minutes={minutes} base={base} limits={ratings} />
      <StandsOn
        transfer={transfer}
        around={around}
        timezone={site.timezone}
        href={`${base}/${transferId(transfer.atMs)}`}
      />
      <Entry title="Your own note.">
        <PersonNotes
          slug={site.slug}
          timezone={site.timezone}
          notes={notes}
          about={[{ about: { kind: "transfer", atMs: transfer.atMs }, text: "this transfer" }]}
          back={`${base}/${transferId(transfer.atMs)}`}
        />
      </Entry>
      <nav className={`${styles.neighbours} no-print`} aria-label="Other transfers">
        {beforeMs === null ? (
          <span />
        ) : (
          <Link href={`${base}/${transferId(beforeMs)}`}>
            ← {formatInstant(beforeMs, site.timezone, false)}
          </Link>
        )}
        <Link href={dayAtHref(site.slug, transfer.atMs, clock)}>The day around it</Link>
        <Link href={base}>All transfers</Link>
        {afterMs === null ? (
          <span />
        ) : (
          <Link href={`${base}/${transferId(afterMs)}`}>
            {formatInstant(afterMs, site.timezone, false)} →
          </Link>
        )}
      </nav>
    </Sheet>
  );
}

function Around({
  page: { site, transfer, fromMs, toMs, stretch },
  minutes,
  base,
  limits,
}: {
  page: TransferPage;
  minutes: number;
  base: string;
  limits: { legLimitW: number; totalLimitW: number };
}) {
  const here = `${base}/${transferId(transfer.atMs)}`;
  const nav = (
    <nav aria-label="Minutes around the transfer" className="no-print">
      <ul className={styles.zoom}>
        {AROUND_MINUTES.map((some) => (
          <li key={some}>
            <Link
              href={some === AROUND_MINUTES[0] ? here : `${here}?around=${some}`}
              aria-current={some === minutes ? "true" : undefined}
              scroll={false}
            >
              ± {some} min
            </Link>
          </li>
        ))}
      </ul>
    </nav>
  );
  if (stretch === null || stretch.series.timesMs.length === 0) {
    return (
      <Entry title="What the log shows around it." aside={nav}>
        <Empty title="There are no samples here.">
          <p>The results are older than the samples; they are being computed anew.</p>
        </Empty>
      </Entry>
    );
  }
  const drawn = transferStretch(stretch.series, stretch.nominalMs, { fromMs, toMs, timezone: site.timezone });
  const marks = {
    atMs: transfer.atMs,
    returnedAtMs: transfer.returnedAtMs,
    legLimitW: limits.legLimitW,
    totalLimitW: limits.totalLimitW,
  };
  const height = aroundTransferHeight(drawn);
  const missing = [
    drawn.l1W === null || drawn.l2W === null ? "load of each leg" : null,
    drawn.batteryA === null ? "battery current" : null,
    drawn.socPct === null ? "state of charge" : null,
    drawn.sources === null ? "source" : null,
  ].filter((name) => name !== null);
  return (
    <Entry
      title="The legs about zero, L1 upwards and L2 downwards, each against its rating."
      aside={
        <>
          {nav}
          <p>What is lopsided here is imbalance. The band on top says what carried the loads.</p>
          {missing.length === 0 ? null : <p>Not in this log: {missing.join(", ")}.</p>}
        </>
      }
    >
      {drawn.l1W === null && drawn.l2W === null && drawn.loadW === null ? (
        <Empty title="There is no load in this log here.">
          <p>The picture needs the power of the legs, or of both together.</p>
        </Empty>
      ) : (
        <Drawing
          label={`Load of L1 and L2 in the ${minutes} minutes before and after the transfer; the table behind it has every sample.`}
          height={height}
          option={(narrow) => aroundTransferOption(drawn, marks, narrow)}
          live={{ picture: "around-transfer", data: { slug: site.slug, stretch: drawn, marks } }}
          legend={
            <>
              {drawn.loadW === null ? (
                <>
                  <Key mark="solid" colour="var(--l1)">
                    L1, upwards
                  </Key>
                  <Key mark="dashed" colour="var(--l2)">
                    L2, downwards
                  </Key>
                </>
              ) : (
                <Key mark="solid" colour="var(--ink)">
                  Load of both legs
                </Key>
              )}
              {drawn.batteryA === null ? null : (
                <Key mark="solid" colour="var(--battery)">
                  Battery current, discharging above zero
                </Key>
              )}
              {drawn.socPct === null ? null : (
                <Key mark="dotted" colour="var(--ink-soft)">
                  State of charge
                </Key>
              )}
            </>
          }
        />
      )}
      {stretch.cut ? <p>The log has more samples here than are drawn; the picture ends early.</p> : null}
      <Behind
        table={samplesTable(stretch.series, stretch.faultWords, site.timezone)}
        csvHref={`${here}/samples.csv`}
        marked={{ is: (at) => stretch.series.timesMs[at] === transfer.atMs, text: "transfer" }}
        id="samples"
      />
    </Entry>
  );
}

/** Of a low battery: how full it was when the loads came back. */
function batteryFields({ evidence }: Transfer) {
  const found = pieceOf(evidence, "battery-at-return");
  if (found === undefined) return [];
  const { returnSocPct, returnBatteryV } = found.figures;
  return [
    {
      label: "Battery at the return",
      value:
        returnSocPct === null && returnBatteryV === null
          ? "not in the log"
          : `${formatQuantity(returnSocPct, "%", 1)}, ${formatQuantity(returnBatteryV, "V", 1)}`,
    },
  ];
}

function StandsOn({
  transfer,
  around: { across, stay },
  timezone,
  href,
}: {
  transfer: Transfer;
  around: AroundTransfer;
  timezone: string;
  href: string;
}) {
  const clock = clockOf(timezone);
  const sentences = (of: (code: string) => boolean) =>
    transfer.evidence
      .filter(({ code }) => of(code))
      .map((evidence) => keepUnits(plainEvidence(evidence, clock)));
  const hidden = sentences((code) => code === "interval-hides");
  const withoutGrid = sentences((code) => code === "without-grid");
  const ofCause = transfer.evidence.filter(({ code }) => !APART.has(code));
  const settings = settingsOf(transfer.evidence);
  return (
    <>
      <Entry title="What the cause stands on." aside={<p>Each figure with the limit that was in force.</p>}>
        <ul className={styles.evidence}>
          {acrossTransferSentences(across, transfer, clock).map((sentence) => (
            <li key={sentence}>{keepUnits(sentence)}</li>
          ))}
          {ofCause.map((evidence) => (
            <li key={evidence.code}>
              {keepUnits(plainEvidence(evidence, clock))}
              {evidence.code === "window" ? (
                <>
                  {" "}
                  <a className="no-print" href={windowHref(transfer.atMs, evidence, href)}>
                    Its samples
                  </a>
                </>
              ) : null}
            </li>
          ))}
        </ul>
        {transfer.alsoHolds.length === 0 ? null : <p>{otherCauses(transfer.alsoHolds)}</p>}
        {Object.keys(settings).length === 0 ? null : (
          <details className={styles.settings}>
            <summary>How this is reckoned: the settings compared with, and what they mean</summary>
            <SettingsMeant settings={settings} />
          </details>
        )}
      </Entry>
      <Tags transfer={transfer} stay={stay} timezone={timezone} />
      {hidden.length === 0 ? null : (
        <Entry title="What the log can’t show.">
          {hidden.map((text) => (
            <p key={text}>{text}</p>
          ))}
        </Entry>
      )}
      {withoutGrid.length === 0 ? null : (
        <Entry title="What it would have been without a grid.">
          {withoutGrid.map((text) => (
            <p key={text}>{text}</p>
          ))}
        </Entry>
      )}
    </>
  );
}

function Tags({
  transfer,
  stay,
  timezone,
}: {
  transfer: Transfer;
  stay: TransferStay | null;
  timezone: string;
}) {
  const { tags, limiting, evidence } = transfer;
  const clock = clockOf(timezone);
  const given = (tags ?? []).map((tag) => ({
    tag,
    pieces: evidence.filter(({ code }) => REQUIRED_BY_TAG[tag].flat().some((one) => one === code)),
  }));
  const rest = evidence.filter(
    (piece) => OF_TAGS.has(piece.code) && !given.some(({ pieces }) => pieces.includes(piece)),
  );
  const ofStay = stay === null || limiting === null ? null : stayRemedy(stay, limiting, transfer.atMs, clock);
  const [first, ...others] = transferRemedy(transfer);
  const remedies = [first, ofStay, ...others].filter((sentence) => typeof sentence === "string");
  const counted = avoidableSentence(transfer);
  return (
    <Entry
      title="What would have prevented it."
      aside={<p>Reckoned from what was recorded. Work in the panel is for a licensed electrician.</p>}
    >
      <ul className={styles.evidence}>
        {remedies.map((sentence) => (
          <li key={sentence}>{keepUnits(sentence)}</li>
        ))}
      </ul>
      {counted === null ? null : <p>{counted}</p>}
      {given.length === 0 ? null : (
        <dl className={styles.tags}>
          {given.map(({ tag, pieces }) => (
            <div key={tag}>
              <dt>{TAG_WORDS[tag]}</dt>
              {pieces.map((piece) => (
                <dd key={piece.code}>{keepUnits(plainEvidence(piece, clock))}</dd>
              ))}
            </div>
          ))}
        </dl>
      )}
      {rest.map((piece) => (
        <p key={piece.code}>{keepUnits(plainEvidence(piece, clock))}</p>
      ))}
    </Entry>
  );
}

/** The sheet around the fewest minutes that the window lies in, with its samples unfolded. */
function windowHref(atMs: number, { figures }: EvidenceOf<"window">, href: string): string {
  const reachMs = Math.max(atMs - figures.fromMs, figures.toMs - atMs);
  const minutes = AROUND_MINUTES.findLast((some) => some * 60_000 > reachMs) ?? AROUND_MINUTES[0];
  return `${href}${minutes === AROUND_MINUTES[0] ? "" : `?around=${minutes}`}#samples`;
}

function pieceOf<C extends Evidence["code"]>(
  evidence: readonly Evidence[],
  code: C,
): EvidenceOf<C> | undefined {
  return evidence.find((one) => one.code === code) as EvidenceOf<C> | undefined;
}
