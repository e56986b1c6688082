import type { Road as RoadRecord, RoadStop } from "../api/records";
import { day, todayIso } from "../i18n/figures";
import { isSaid, useSay } from "../i18n/say";
import { STOPS, type StopName } from "../stops/contract";
import { Tag } from "./Tag";
import "./Road.css";

type RoadProps = { caseId: string; here: StopName; road: RoadRecord | null };

/** The cut line of the case: solid as far as it is done, dashed where it is not yet. */
export function Road({ caseId, here, road }: RoadProps) {
  const t = useSay();
  return (
    <nav aria-label={t("road.name")} className="road">
      <ol>
        {STOPS.map((name) => (
          <li key={name} className={classOf(name, here, road)}>
            <a href={`#/case/${caseId}/${name}`} aria-current={name === here ? "step" : undefined}>
              <i aria-hidden="true" />
              <b>{t(`stops.${name}`)}</b>
              <Said stop={stopOf(road, name)} />
            </a>
          </li>
        ))}
      </ol>
      <Where here={here} />
    </nav>
  );
}

/** Two to four words on what is there or missing. */
function Said({ stop }: { stop: RoadStop | null }) {
  const t = useSay();
  if (!stop) return null;
  if (stop.state === "old") return <Tag kind="old" />;
  return (
    <span>
      <span className="unseen">{t(`road.${stop.state}`)}: </span>
      {isSaid(`road:${stop.code}`) ? t(`road:${stop.code}`, figuresOf(stop)) : null}
    </span>
  );
}

/** The figures of a stop as the reader writes them. */
function figuresOf({ figures }: RoadStop): Record<string, string | number> {
  const { day: iso, count } = figures;
  const written: Record<string, string | number> = { ...figures };
  if (iso) written.day = day(iso, todayIso());
  if (count) written.count = Number(count);
  return written;
}

/** On a tablet the road is a ruler of seven ticks; these words say where on it. */
function Where({ here }: { here: StopName }) {
  const t = useSay();
  const next = STOPS[STOPS.indexOf(here) + 1];
  const words = { here: t(`stops.${here}`), next: next ? t(`stops.${next}`) : "" };
  return <p className="road-where">{t(next ? "road.where" : "road.last", words)}</p>;
}

function classOf(name: StopName, here: StopName, road: RoadRecord | null): string {
  const state = stopOf(road, name)?.state ?? "later";
  const next = Math.abs(STOPS.indexOf(name) - STOPS.indexOf(here)) <= 1;
  const words = [state === "here" ? "missing" : state];
  if (name === here) words.push("here");
  if (next) words.push("near");
  return words.join(" ");
}

function stopOf(road: RoadRecord | null, name: StopName): RoadStop | null {
  return road?.stops.find((stop) => stop.name === name) ?? null;
}
